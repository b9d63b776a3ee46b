CREATE TYPE "public"."check_item" AS ENUM('identity', 'place', 'emergency_contact', 'consent');--> statement-breakpoint
CREATE TYPE "public"."check_state" AS ENUM('confirmed', 'skipped');--> statement-breakpoint
CREATE TYPE "public"."finding_kind" AS ENUM('normal', 'abnormal', 'noted', 'measured');--> statement-breakpoint
CREATE TYPE "public"."follow_up_kind" AS ENUM('in_person', 'by_video', 'call', 'none');--> statement-breakpoint
CREATE TYPE "public"."station_reason" AS ENUM('pain', 'unsteady', 'no_helper', 'no_equipment', 'no_room', 'camera', 'line', 'light', 'not_understood', 'not_able', 'declined', 'no_time', 'safety', 'other');--> statement-breakpoint
CREATE TYPE "public"."station_result" AS ENUM('done', 'done_with_difficulty', 'not_possible', 'stopped', 'not_reached');--> statement-breakpoint
CREATE TYPE "public"."visit_outcome" AS ENUM('completed', 'left_early', 'technical_failure', 'stopped_for_safety', 'no_show');--> statement-breakpoint
ALTER TYPE "public"."referral_source" ADD VALUE 'follow_up';--> statement-breakpoint
ALTER TYPE "public"."task_kind" ADD VALUE 'safety_stop';--> statement-breakpoint
ALTER TYPE "public"."task_kind" ADD VALUE 'after_visit';--> statement-breakpoint
CREATE TABLE "addenda" (
	"clinic_id" text NOT NULL,
	"id" text NOT NULL,
	"visit_id" text NOT NULL,
	"text" text NOT NULL,
	"by" text NOT NULL,
	"at" timestamp with time zone NOT NULL,
	CONSTRAINT "addenda_clinic_id_id_pk" PRIMARY KEY("clinic_id","id")
);
--> statement-breakpoint
CREATE TABLE "findings" (
	"clinic_id" text NOT NULL,
	"visit_id" text NOT NULL,
	"station_id" text NOT NULL,
	"side" "side" NOT NULL,
	"measure_id" text NOT NULL,
	"kind" "finding_kind" NOT NULL,
	"value" double precision,
	"unit" text,
	"text" text,
	CONSTRAINT "findings_clinic_id_visit_id_station_id_side_measure_id_pk" PRIMARY KEY("clinic_id","visit_id","station_id","side","measure_id"),
	CONSTRAINT "findings_measured_whole" CHECK (("findings"."kind" = 'measured') = ("findings"."measure_id" <> '') and ("findings"."kind" = 'measured') = (num_nonnulls("findings"."value", "findings"."unit") = 2)),
	CONSTRAINT "findings_noted_said" CHECK ("findings"."kind" <> 'noted' or "findings"."text" is not null)
);
--> statement-breakpoint
CREATE TABLE "follow_ups" (
	"clinic_id" text NOT NULL,
	"visit_id" text NOT NULL,
	"kind" "follow_up_kind" NOT NULL,
	"stations" text[] NOT NULL,
	"see_by" timestamp with time zone,
	"because" text,
	"referral_id" text,
	"decided_by" text NOT NULL,
	"decided_at" timestamp with time zone NOT NULL,
	CONSTRAINT "follow_ups_clinic_id_visit_id_pk" PRIMARY KEY("clinic_id","visit_id"),
	CONSTRAINT "follow_ups_in_person_whole" CHECK (("follow_ups"."kind" = 'in_person') = ("follow_ups"."see_by" is not null) and ("follow_ups"."kind" = 'in_person') = ("follow_ups"."referral_id" is not null)),
	CONSTRAINT "follow_ups_none_why" CHECK ("follow_ups"."kind" <> 'none' or "follow_ups"."because" is not null)
);
--> statement-breakpoint
CREATE TABLE "station_outcomes" (
	"clinic_id" text NOT NULL,
	"visit_id" text NOT NULL,
	"station_id" text NOT NULL,
	"side" "side" NOT NULL,
	"way_id" text NOT NULL,
	"result" "station_result" NOT NULL,
	"reason" "station_reason",
	"reason_text" text,
	"recorded_by" text NOT NULL,
	"recorded_at" timestamp with time zone NOT NULL,
	"version" integer DEFAULT 1 NOT NULL,
	CONSTRAINT "station_outcomes_clinic_id_visit_id_station_id_side_pk" PRIMARY KEY("clinic_id","visit_id","station_id","side"),
	CONSTRAINT "station_outcomes_why" CHECK ("station_outcomes"."result" in ('done', 'done_with_difficulty', 'not_reached') or "station_outcomes"."reason" is not null),
	CONSTRAINT "station_outcomes_other_said" CHECK ("station_outcomes"."reason" <> 'other' or "station_outcomes"."reason_text" is not null)
);
--> statement-breakpoint
CREATE TABLE "visit_checks" (
	"clinic_id" text NOT NULL,
	"visit_id" text NOT NULL,
	"item" "check_item" NOT NULL,
	"state" "check_state" NOT NULL,
	"because" text,
	"recorded_by" text NOT NULL,
	"recorded_at" timestamp with time zone NOT NULL,
	"version" integer DEFAULT 1 NOT NULL,
	CONSTRAINT "visit_checks_clinic_id_visit_id_item_pk" PRIMARY KEY("clinic_id","visit_id","item"),
	CONSTRAINT "visit_checks_skipped_why" CHECK ("visit_checks"."state" = 'confirmed' or "visit_checks"."because" is not null)
);
--> statement-breakpoint
CREATE TABLE "visit_records" (
	"clinic_id" text NOT NULL,
	"visit_id" text NOT NULL,
	"began_at" timestamp with time zone,
	"ended_at" timestamp with time zone,
	"outcome" "visit_outcome",
	"stopped_at" timestamp with time zone,
	"note" text DEFAULT '' NOT NULL,
	"signed_by" text,
	"signed_at" timestamp with time zone,
	"version" integer DEFAULT 1 NOT NULL,
	CONSTRAINT "visit_records_clinic_id_visit_id_pk" PRIMARY KEY("clinic_id","visit_id"),
	CONSTRAINT "visit_records_signed_whole" CHECK (num_nonnulls("visit_records"."signed_by", "visit_records"."signed_at", "visit_records"."outcome", "visit_records"."ended_at") in (0, 4)),
	CONSTRAINT "visit_records_began" CHECK (coalesce("visit_records"."outcome" = 'no_show', false) = ("visit_records"."began_at" is null)),
	CONSTRAINT "visit_records_in_order" CHECK ("visit_records"."began_at" <= "visit_records"."ended_at"),
	CONSTRAINT "visit_records_stop_stands" CHECK ("visit_records"."outcome" is null or ("visit_records"."stopped_at" is not null) = ("visit_records"."outcome" = 'stopped_for_safety'))
);
--> statement-breakpoint
ALTER TABLE "addenda" ADD CONSTRAINT "addenda_record_fk" FOREIGN KEY ("clinic_id","visit_id") REFERENCES "public"."visit_records"("clinic_id","visit_id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "findings" ADD CONSTRAINT "findings_outcome_fk" FOREIGN KEY ("clinic_id","visit_id","station_id","side") REFERENCES "public"."station_outcomes"("clinic_id","visit_id","station_id","side") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "follow_ups" ADD CONSTRAINT "follow_ups_record_fk" FOREIGN KEY ("clinic_id","visit_id") REFERENCES "public"."visit_records"("clinic_id","visit_id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "follow_ups" ADD CONSTRAINT "follow_ups_referral_fk" FOREIGN KEY ("clinic_id","referral_id") REFERENCES "public"."referrals"("clinic_id","id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "station_outcomes" ADD CONSTRAINT "station_outcomes_record_fk" FOREIGN KEY ("clinic_id","visit_id") REFERENCES "public"."visit_records"("clinic_id","visit_id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "visit_checks" ADD CONSTRAINT "visit_checks_record_fk" FOREIGN KEY ("clinic_id","visit_id") REFERENCES "public"."visit_records"("clinic_id","visit_id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "visit_records" ADD CONSTRAINT "visit_records_visit_fk" FOREIGN KEY ("clinic_id","visit_id") REFERENCES "public"."visits"("clinic_id","id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
CREATE INDEX "addenda_visit_idx" ON "addenda" USING btree ("clinic_id","visit_id","at");--> statement-breakpoint
CREATE UNIQUE INDEX "follow_ups_referral_key" ON "follow_ups" USING btree ("clinic_id","referral_id");--> statement-breakpoint
CREATE INDEX "visit_records_signed_idx" ON "visit_records" USING btree ("clinic_id","signed_at");