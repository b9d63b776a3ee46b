CREATE TABLE "counted_days" (
	"clinic_id" text NOT NULL,
	"on_date" date NOT NULL,
	CONSTRAINT "counted_days_clinic_id_on_date_pk" PRIMARY KEY("clinic_id","on_date")
);
--> statement-breakpoint
CREATE TABLE "day_tries" (
	"clinic_id" text NOT NULL,
	"on_date" date NOT NULL,
	"protocol_id" text,
	"protocol_version" integer,
	"station_id" text NOT NULL,
	"way_id" text NOT NULL,
	"result" "station_result" NOT NULL,
	"reason" "station_reason",
	"n" integer NOT NULL,
	CONSTRAINT "day_tries_once" UNIQUE NULLS NOT DISTINCT("clinic_id","on_date","protocol_id","protocol_version","station_id","way_id","result","reason"),
	CONSTRAINT "day_tries_some" CHECK ("day_tries"."n" > 0)
);
--> statement-breakpoint
ALTER TABLE "day_tries" ADD CONSTRAINT "day_tries_day_fk" FOREIGN KEY ("clinic_id","on_date") REFERENCES "public"."counted_days"("clinic_id","on_date") ON DELETE cascade ON UPDATE no action;