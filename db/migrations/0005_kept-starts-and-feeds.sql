CREATE TABLE "calendar_feeds" (
	"clinic_id" text NOT NULL,
	"id" text NOT NULL,
	"clinician_id" text NOT NULL,
	"token_hash" text NOT NULL,
	"created_at" timestamp with time zone NOT NULL,
	"created_by" text NOT NULL,
	"revoked_at" timestamp with time zone,
	CONSTRAINT "calendar_feeds_clinic_id_id_pk" PRIMARY KEY("clinic_id","id")
);
--> statement-breakpoint
ALTER TABLE "clinic_sessions" ADD COLUMN "urgent_min" integer DEFAULT 0 NOT NULL;--> statement-breakpoint
ALTER TABLE "clinic_sessions" ADD COLUMN "urgent_release_hours" integer DEFAULT 0 NOT NULL;--> statement-breakpoint
ALTER TABLE "calendar_feeds" ADD CONSTRAINT "calendar_feeds_clinician_fk" FOREIGN KEY ("clinic_id","clinician_id") REFERENCES "public"."clinicians"("clinic_id","id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
CREATE UNIQUE INDEX "calendar_feeds_token_hash_key" ON "calendar_feeds" USING btree ("clinic_id","token_hash");--> statement-breakpoint
CREATE UNIQUE INDEX "calendar_feeds_one_live" ON "calendar_feeds" USING btree ("clinic_id","clinician_id") WHERE "calendar_feeds"."revoked_at" is null;--> statement-breakpoint
ALTER TABLE "clinic_sessions" ADD CONSTRAINT "clinic_sessions_urgent" CHECK ("clinic_sessions"."urgent_min" between 0 and "clinic_sessions"."duration_min" and "clinic_sessions"."urgent_release_hours" >= 0);