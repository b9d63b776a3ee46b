CREATE TYPE "public"."item_state" AS ENUM('done', 'waiting', 'late', 'not_needed', 'cannot');--> statement-breakpoint
CREATE TABLE "readiness_kept" (
	"clinic_id" text NOT NULL,
	"visit_id" text NOT NULL,
	"for_starts_at" timestamp with time zone NOT NULL,
	"taken_at" timestamp with time zone NOT NULL,
	"worst" "item_state" NOT NULL,
	"open_items" "readiness_item"[] NOT NULL,
	CONSTRAINT "readiness_kept_clinic_id_visit_id_for_starts_at_pk" PRIMARY KEY("clinic_id","visit_id","for_starts_at"),
	CONSTRAINT "readiness_kept_before_start" CHECK ("readiness_kept"."taken_at" < "readiness_kept"."for_starts_at")
);
--> statement-breakpoint
CREATE TABLE "waits_kept" (
	"clinic_id" text NOT NULL,
	"on_date" date NOT NULL,
	"clinician_id" text NOT NULL,
	"mode" "visit_mode" NOT NULL,
	"taken_at" timestamp with time zone NOT NULL,
	"minutes" integer NOT NULL,
	"days" integer,
	"horizon_days" integer NOT NULL,
	CONSTRAINT "waits_kept_clinic_id_on_date_clinician_id_mode_pk" PRIMARY KEY("clinic_id","on_date","clinician_id","mode"),
	CONSTRAINT "waits_kept_days" CHECK ("waits_kept"."days" between 0 and "waits_kept"."horizon_days" + 1)
);
--> statement-breakpoint
CREATE TABLE "way_reviews" (
	"clinic_id" text NOT NULL,
	"id" text NOT NULL,
	"protocol_id" text NOT NULL,
	"protocol_version" integer NOT NULL,
	"station_id" text NOT NULL,
	"way_id" text NOT NULL,
	"done" integer NOT NULL,
	"of" integer NOT NULL,
	"because" text NOT NULL,
	"by" text NOT NULL,
	"at" timestamp with time zone NOT NULL,
	CONSTRAINT "way_reviews_clinic_id_id_pk" PRIMARY KEY("clinic_id","id"),
	CONSTRAINT "way_reviews_counted" CHECK ("way_reviews"."done" between 0 and "way_reviews"."of"),
	CONSTRAINT "way_reviews_because" CHECK (length(btrim("way_reviews"."because")) > 0)
);
--> statement-breakpoint
ALTER TABLE "readiness_kept" ADD CONSTRAINT "readiness_kept_visit_fk" FOREIGN KEY ("clinic_id","visit_id") REFERENCES "public"."visits"("clinic_id","id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "waits_kept" ADD CONSTRAINT "waits_kept_clinic_id_clinics_id_fk" FOREIGN KEY ("clinic_id") REFERENCES "public"."clinics"("id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "waits_kept" ADD CONSTRAINT "waits_kept_clinician_fk" FOREIGN KEY ("clinic_id","clinician_id") REFERENCES "public"."clinicians"("clinic_id","id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "way_reviews" ADD CONSTRAINT "way_reviews_protocol_fk" FOREIGN KEY ("clinic_id","protocol_id","protocol_version") REFERENCES "public"."protocols"("clinic_id","id","version") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
CREATE INDEX "way_reviews_way_idx" ON "way_reviews" USING btree ("clinic_id","protocol_id","protocol_version","station_id","way_id");--> statement-breakpoint
CREATE INDEX "referrals_received_idx" ON "referrals" USING btree ("clinic_id","received_at");