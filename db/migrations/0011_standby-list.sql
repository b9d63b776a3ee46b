CREATE TYPE "public"."offer_outcome" AS ENUM('accepted', 'declined', 'expired', 'withdrawn');--> statement-breakpoint
CREATE TYPE "public"."standby_end" AS ENUM('served', 'left', 'over');--> statement-breakpoint
ALTER TYPE "public"."message_kind" ADD VALUE 'standby_offer';--> statement-breakpoint
CREATE TABLE "standby_entries" (
	"clinic_id" text NOT NULL,
	"id" text NOT NULL,
	"referral_id" text NOT NULL,
	"joined_at" timestamp with time zone NOT NULL,
	"joined_by" text NOT NULL,
	"notice_hours" integer NOT NULL,
	"ended_at" timestamp with time zone,
	"ended" "standby_end",
	"ended_by" text,
	CONSTRAINT "standby_entries_clinic_id_id_pk" PRIMARY KEY("clinic_id","id"),
	CONSTRAINT "standby_entries_notice" CHECK ("standby_entries"."notice_hours" between 1 and 720),
	CONSTRAINT "standby_entries_ended_whole" CHECK (num_nonnulls("standby_entries"."ended_at", "standby_entries"."ended", "standby_entries"."ended_by") in (0, 3))
);
--> statement-breakpoint
CREATE TABLE "standby_offers" (
	"clinic_id" text NOT NULL,
	"id" text NOT NULL,
	"entry_id" text NOT NULL,
	"referral_id" text NOT NULL,
	"visit_id" text NOT NULL,
	"clinician_id" text NOT NULL,
	"starts_at" timestamp with time zone NOT NULL,
	"ends_at" timestamp with time zone NOT NULL,
	"offered_at" timestamp with time zone NOT NULL,
	"expires_at" timestamp with time zone NOT NULL,
	"outcome" "offer_outcome",
	"settled_at" timestamp with time zone,
	"settled_by" text,
	CONSTRAINT "standby_offers_clinic_id_id_pk" PRIMARY KEY("clinic_id","id"),
	CONSTRAINT "standby_offers_settled_whole" CHECK (num_nonnulls("standby_offers"."outcome", "standby_offers"."settled_at", "standby_offers"."settled_by") in (0, 3))
);
--> statement-breakpoint
DROP INDEX "visits_one_held";--> statement-breakpoint
ALTER TABLE "visits" ADD COLUMN "is_offer" boolean DEFAULT false NOT NULL;--> statement-breakpoint
ALTER TABLE "standby_entries" ADD CONSTRAINT "standby_entries_referral_fk" FOREIGN KEY ("clinic_id","referral_id") REFERENCES "public"."referrals"("clinic_id","id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "standby_offers" ADD CONSTRAINT "standby_offers_entry_fk" FOREIGN KEY ("clinic_id","entry_id") REFERENCES "public"."standby_entries"("clinic_id","id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "standby_offers" ADD CONSTRAINT "standby_offers_visit_fk" FOREIGN KEY ("clinic_id","visit_id") REFERENCES "public"."visits"("clinic_id","id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "standby_offers" ADD CONSTRAINT "standby_offers_clinician_fk" FOREIGN KEY ("clinic_id","clinician_id") REFERENCES "public"."clinicians"("clinic_id","id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
CREATE UNIQUE INDEX "standby_one_open" ON "standby_entries" USING btree ("clinic_id","referral_id") WHERE "standby_entries"."ended_at" is null;--> statement-breakpoint
CREATE UNIQUE INDEX "standby_one_live_offer" ON "standby_offers" USING btree ("clinic_id","entry_id") WHERE "standby_offers"."outcome" is null;--> statement-breakpoint
CREATE UNIQUE INDEX "standby_offers_visit_key" ON "standby_offers" USING btree ("clinic_id","visit_id");--> statement-breakpoint
CREATE INDEX "standby_offers_start_idx" ON "standby_offers" USING btree ("clinic_id","clinician_id","starts_at");--> statement-breakpoint
CREATE UNIQUE INDEX "visits_one_held" ON "visits" USING btree ("clinic_id","referral_id","is_offer") WHERE "visits"."status" = 'held';