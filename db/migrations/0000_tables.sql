CREATE TYPE "public"."staff_role" AS ENUM('coordinator', 'clinician', 'lead', 'admin');--> statement-breakpoint
CREATE TYPE "public"."session_exception_kind" AS ENUM('closed', 'moved', 'shortened');--> statement-breakpoint
CREATE TYPE "public"."session_mode" AS ENUM('video', 'in_person', 'either');--> statement-breakpoint
CREATE TYPE "public"."session_status" AS ENUM('active', 'paused', 'ended');--> statement-breakpoint
CREATE TYPE "public"."answer_source" AS ENUM('referral', 'coordinator', 'patient', 'clinician');--> statement-breakpoint
CREATE TYPE "public"."disposition" AS ENUM('emergency_advice', 'urgent_in_person', 'in_person', 'ask_again', 'video_with_gaps', 'video');--> statement-breakpoint
CREATE TYPE "public"."import_kind" AS ENUM('csv', 'fhir');--> statement-breakpoint
CREATE TYPE "public"."match_decision" AS ENUM('same', 'different');--> statement-breakpoint
CREATE TYPE "public"."protocol_status" AS ENUM('draft', 'signed_off', 'retired');--> statement-breakpoint
CREATE TYPE "public"."referral_priority" AS ENUM('routine', 'urgent', 'asap', 'stat');--> statement-breakpoint
CREATE TYPE "public"."referral_source" AS ENUM('typed', 'csv', 'fhir');--> statement-breakpoint
CREATE TYPE "public"."referral_stage" AS ENUM('received', 'triaged', 'screened', 'booked', 'closed');--> statement-breakpoint
CREATE TYPE "public"."side" AS ENUM('left', 'right', 'both');--> statement-breakpoint
CREATE TYPE "public"."task_kind" AS ENUM('emergency_call', 'urgent_flag', 'match', 'phone_home_check', 'replan', 'message_failed', 'see_by_breach');--> statement-breakpoint
CREATE TYPE "public"."mark_state" AS ENUM('confirmed', 'withdrawn');--> statement-breakpoint
CREATE TYPE "public"."message_kind" AS ENUM('home_check_invitation', 'home_check_chaser', 'packet', 'packet_changed', 'in_person_booked', 'still_missing', 'day_before', 'hour_before', 'moved', 'cancelled', 'seek_help');--> statement-breakpoint
CREATE TYPE "public"."message_status" AS ENUM('queued', 'sent', 'failed', 'dropped');--> statement-breakpoint
CREATE TYPE "public"."readiness_item" AS ENUM('home_check', 'equipment', 'helper', 'rehearsal', 'packet_opened', 'place_and_contact', 'consent', 'image', 'interpreter', 'licence');--> statement-breakpoint
CREATE TYPE "public"."visit_mode" AS ENUM('video', 'in_person');--> statement-breakpoint
CREATE TYPE "public"."visit_status" AS ENUM('held', 'booked', 'lapsed', 'cancelled', 'done', 'no_show');--> statement-breakpoint
CREATE TABLE "clinics" (
	"id" text PRIMARY KEY NOT NULL,
	"slug" text NOT NULL,
	"name" text NOT NULL,
	"time_zone" text NOT NULL,
	"phone" text NOT NULL,
	"emergency_number" text NOT NULL,
	"policy" jsonb NOT NULL,
	"created_at" timestamp with time zone NOT NULL,
	CONSTRAINT "clinics_slug_key" UNIQUE("slug"),
	CONSTRAINT "clinics_slug_shape" CHECK ("clinics"."slug" ~ '^[a-z0-9-]{2,40}$')
);
--> statement-breakpoint
CREATE TABLE "holidays" (
	"clinic_id" text NOT NULL,
	"on_date" date NOT NULL,
	"name" text NOT NULL,
	CONSTRAINT "holidays_clinic_id_on_date_pk" PRIMARY KEY("clinic_id","on_date")
);
--> statement-breakpoint
CREATE TABLE "rate_counters" (
	"clinic_id" text NOT NULL,
	"bucket" text NOT NULL,
	"window_starts_at" timestamp with time zone NOT NULL,
	"count" integer NOT NULL,
	CONSTRAINT "rate_counters_clinic_id_bucket_window_starts_at_pk" PRIMARY KEY("clinic_id","bucket","window_starts_at")
);
--> statement-breakpoint
CREATE TABLE "staff" (
	"clinic_id" text NOT NULL,
	"id" text NOT NULL,
	"email" text NOT NULL,
	"name" text NOT NULL,
	"role" "staff_role" NOT NULL,
	"password_hash" text,
	"clinician_id" text,
	"is_active" boolean DEFAULT true NOT NULL,
	"is_demo" boolean DEFAULT false NOT NULL,
	"created_at" timestamp with time zone NOT NULL,
	CONSTRAINT "staff_clinic_id_id_pk" PRIMARY KEY("clinic_id","id"),
	CONSTRAINT "staff_email_key" UNIQUE("clinic_id","email"),
	CONSTRAINT "staff_email_lower" CHECK ("staff"."email" = lower("staff"."email"))
);
--> statement-breakpoint
CREATE TABLE "staff_sessions" (
	"clinic_id" text NOT NULL,
	"id" text NOT NULL,
	"staff_id" text NOT NULL,
	"created_at" timestamp with time zone NOT NULL,
	"last_seen_at" timestamp with time zone NOT NULL,
	"ended_at" timestamp with time zone,
	CONSTRAINT "staff_sessions_clinic_id_id_pk" PRIMARY KEY("clinic_id","id")
);
--> statement-breakpoint
CREATE TABLE "clinic_sessions" (
	"clinic_id" text NOT NULL,
	"id" text NOT NULL,
	"clinician_id" text,
	"interpreter_id" text,
	"mode" "session_mode" NOT NULL,
	"site_id" text,
	"room_id" text,
	"time_zone" text NOT NULL,
	"starts_on" date NOT NULL,
	"opens_at" text NOT NULL,
	"duration_min" integer NOT NULL,
	"rule" text,
	"valid_to" date,
	"grain_min" integer NOT NULL,
	"buffer_before_min" integer NOT NULL,
	"buffer_after_min" integer NOT NULL,
	"notice_min" integer NOT NULL,
	"status" "session_status" DEFAULT 'active' NOT NULL,
	"version" integer DEFAULT 1 NOT NULL,
	"created_at" timestamp with time zone NOT NULL,
	CONSTRAINT "clinic_sessions_clinic_id_id_pk" PRIMARY KEY("clinic_id","id"),
	CONSTRAINT "clinic_sessions_one_owner" CHECK (num_nonnulls("clinic_sessions"."clinician_id", "clinic_sessions"."interpreter_id") = 1),
	CONSTRAINT "clinic_sessions_in_person_has_site" CHECK ("clinic_sessions"."mode" = 'video' or "clinic_sessions"."site_id" is not null),
	CONSTRAINT "clinic_sessions_duration" CHECK ("clinic_sessions"."duration_min" between 5 and 1440),
	CONSTRAINT "clinic_sessions_grain" CHECK ("clinic_sessions"."grain_min" between 5 and 240),
	CONSTRAINT "clinic_sessions_buffers" CHECK ("clinic_sessions"."buffer_before_min" between 0 and 240 and "clinic_sessions"."buffer_after_min" between 0 and 240 and "clinic_sessions"."notice_min" >= 0),
	CONSTRAINT "clinic_sessions_opens_at" CHECK ("clinic_sessions"."opens_at" ~ '^([01][0-9]|2[0-3]):[0-5][0-9]$')
);
--> statement-breakpoint
CREATE TABLE "clinicians" (
	"clinic_id" text NOT NULL,
	"id" text NOT NULL,
	"name" text NOT NULL,
	"credentials" text NOT NULL,
	"languages" text[] NOT NULL,
	"time_zone" text NOT NULL,
	"is_active" boolean DEFAULT true NOT NULL,
	CONSTRAINT "clinicians_clinic_id_id_pk" PRIMARY KEY("clinic_id","id")
);
--> statement-breakpoint
CREATE TABLE "interpreters" (
	"clinic_id" text NOT NULL,
	"id" text NOT NULL,
	"name" text NOT NULL,
	"languages" text[] NOT NULL,
	"time_zone" text NOT NULL,
	"is_active" boolean DEFAULT true NOT NULL,
	CONSTRAINT "interpreters_clinic_id_id_pk" PRIMARY KEY("clinic_id","id")
);
--> statement-breakpoint
CREATE TABLE "licences" (
	"clinic_id" text NOT NULL,
	"id" text NOT NULL,
	"clinician_id" text NOT NULL,
	"state" text NOT NULL,
	"valid_from" date NOT NULL,
	"valid_to" date,
	CONSTRAINT "licences_clinic_id_id_pk" PRIMARY KEY("clinic_id","id"),
	CONSTRAINT "licences_from_before_to" CHECK ("licences"."valid_to" is null or "licences"."valid_to" >= "licences"."valid_from")
);
--> statement-breakpoint
CREATE TABLE "rooms" (
	"clinic_id" text NOT NULL,
	"id" text NOT NULL,
	"site_id" text NOT NULL,
	"name" text NOT NULL,
	CONSTRAINT "rooms_clinic_id_id_pk" PRIMARY KEY("clinic_id","id")
);
--> statement-breakpoint
CREATE TABLE "session_exceptions" (
	"clinic_id" text NOT NULL,
	"session_id" text NOT NULL,
	"on_date" date NOT NULL,
	"kind" "session_exception_kind" NOT NULL,
	"to_date" date,
	"opens_at" text,
	"duration_min" integer,
	CONSTRAINT "session_exceptions_clinic_id_session_id_on_date_pk" PRIMARY KEY("clinic_id","session_id","on_date"),
	CONSTRAINT "session_exceptions_complete" CHECK ("session_exceptions"."kind" = 'closed' or ("session_exceptions"."opens_at" is not null and "session_exceptions"."duration_min" is not null))
);
--> statement-breakpoint
CREATE TABLE "sites" (
	"clinic_id" text NOT NULL,
	"id" text NOT NULL,
	"name" text NOT NULL,
	"address" text NOT NULL,
	"state" text NOT NULL,
	"time_zone" text NOT NULL,
	CONSTRAINT "sites_clinic_id_id_pk" PRIMARY KEY("clinic_id","id")
);
--> statement-breakpoint
CREATE TABLE "audit_events" (
	"clinic_id" text NOT NULL,
	"id" text NOT NULL,
	"at" timestamp with time zone NOT NULL,
	"actor_kind" text NOT NULL,
	"actor_id" text NOT NULL,
	"action" text NOT NULL,
	"subject" text NOT NULL,
	"referral_id" text,
	"before" jsonb,
	"after" jsonb,
	CONSTRAINT "audit_events_clinic_id_id_pk" PRIMARY KEY("clinic_id","id")
);
--> statement-breakpoint
CREATE TABLE "commands" (
	"clinic_id" text NOT NULL,
	"key" text NOT NULL,
	"kind" text NOT NULL,
	"actor_id" text NOT NULL,
	"answer" jsonb NOT NULL,
	"at" timestamp with time zone NOT NULL,
	CONSTRAINT "commands_clinic_id_key_pk" PRIMARY KEY("clinic_id","key")
);
--> statement-breakpoint
CREATE TABLE "answers" (
	"clinic_id" text NOT NULL,
	"referral_id" text NOT NULL,
	"fact_id" text NOT NULL,
	"value" jsonb NOT NULL,
	"source" "answer_source" NOT NULL,
	"answered_by" text NOT NULL,
	"answered_at" timestamp with time zone NOT NULL,
	CONSTRAINT "answers_clinic_id_referral_id_fact_id_pk" PRIMARY KEY("clinic_id","referral_id","fact_id"),
	CONSTRAINT "answers_value" CHECK (jsonb_typeof("answers"."value") in ('boolean', 'number') or "answers"."value" = '"not_sure"'::jsonb)
);
--> statement-breakpoint
CREATE TABLE "assessments" (
	"clinic_id" text NOT NULL,
	"id" text NOT NULL,
	"referral_id" text NOT NULL,
	"at" timestamp with time zone NOT NULL,
	"disposition" "disposition" NOT NULL,
	"screening" jsonb NOT NULL,
	"plan" jsonb,
	"overruled_to" "disposition",
	"overruled_because" text,
	"overruled_by" text,
	CONSTRAINT "assessments_clinic_id_id_pk" PRIMARY KEY("clinic_id","id"),
	CONSTRAINT "assessments_overruled_whole" CHECK (num_nonnulls("assessments"."overruled_to", "assessments"."overruled_because", "assessments"."overruled_by") in (0, 3))
);
--> statement-breakpoint
CREATE TABLE "home_checks" (
	"clinic_id" text NOT NULL,
	"referral_id" text NOT NULL,
	"invited_at" timestamp with time zone,
	"started_at" timestamp with time zone,
	"finished_at" timestamp with time zone,
	"place_address" text,
	"place_state" text,
	"time_zone" text,
	"callback_phone" text,
	"contact_name" text,
	"contact_phone" text,
	"helper_name" text,
	"patient_windows" jsonb DEFAULT '[]'::jsonb NOT NULL,
	"helper_windows" jsonb DEFAULT '[]'::jsonb NOT NULL,
	"consented_at" timestamp with time zone,
	"version" integer DEFAULT 1 NOT NULL,
	CONSTRAINT "home_checks_clinic_id_referral_id_pk" PRIMARY KEY("clinic_id","referral_id")
);
--> statement-breakpoint
CREATE TABLE "imports" (
	"clinic_id" text NOT NULL,
	"id" text NOT NULL,
	"kind" "import_kind" NOT NULL,
	"file_name" text NOT NULL,
	"by" text NOT NULL,
	"at" timestamp with time zone NOT NULL,
	"added" integer NOT NULL,
	"known" integer NOT NULL,
	"faults" jsonb NOT NULL,
	CONSTRAINT "imports_clinic_id_id_pk" PRIMARY KEY("clinic_id","id")
);
--> statement-breakpoint
CREATE TABLE "patient_links" (
	"clinic_id" text NOT NULL,
	"id" text NOT NULL,
	"referral_id" text NOT NULL,
	"token_hash" text NOT NULL,
	"created_at" timestamp with time zone NOT NULL,
	"expires_at" timestamp with time zone NOT NULL,
	"revoked_at" timestamp with time zone,
	"failed_tries" integer DEFAULT 0 NOT NULL,
	CONSTRAINT "patient_links_clinic_id_id_pk" PRIMARY KEY("clinic_id","id")
);
--> statement-breakpoint
CREATE TABLE "patient_matches" (
	"clinic_id" text NOT NULL,
	"referral_id" text NOT NULL,
	"candidate_id" text NOT NULL,
	"because" text[] NOT NULL,
	"decision" "match_decision",
	"decided_by" text,
	"decided_at" timestamp with time zone,
	CONSTRAINT "patient_matches_clinic_id_referral_id_candidate_id_pk" PRIMARY KEY("clinic_id","referral_id","candidate_id")
);
--> statement-breakpoint
CREATE TABLE "patient_sessions" (
	"clinic_id" text NOT NULL,
	"id" text NOT NULL,
	"link_id" text NOT NULL,
	"token_hash" text NOT NULL,
	"created_at" timestamp with time zone NOT NULL,
	"last_seen_at" timestamp with time zone NOT NULL,
	"ended_at" timestamp with time zone,
	CONSTRAINT "patient_sessions_clinic_id_id_pk" PRIMARY KEY("clinic_id","id")
);
--> statement-breakpoint
CREATE TABLE "patients" (
	"clinic_id" text NOT NULL,
	"id" text NOT NULL,
	"given_name" text NOT NULL,
	"family_name" text NOT NULL,
	"birth_date" date,
	"phone" text,
	"email" text,
	"language" text NOT NULL,
	"interpreter_language" text,
	"address_line" text,
	"city" text,
	"state" text,
	"postal_code" text,
	"time_zone" text,
	"preferred_site_id" text,
	"may_email_details" boolean DEFAULT false NOT NULL,
	"version" integer DEFAULT 1 NOT NULL,
	"created_at" timestamp with time zone NOT NULL,
	CONSTRAINT "patients_clinic_id_id_pk" PRIMARY KEY("clinic_id","id"),
	CONSTRAINT "patients_language" CHECK ("patients"."language" in ('en', 'es'))
);
--> statement-breakpoint
CREATE TABLE "protocols" (
	"clinic_id" text NOT NULL,
	"id" text NOT NULL,
	"version" integer NOT NULL,
	"status" "protocol_status" NOT NULL,
	"document" jsonb NOT NULL,
	"signed_off_by" text,
	"signed_off_at" timestamp with time zone,
	CONSTRAINT "protocols_clinic_id_id_version_pk" PRIMARY KEY("clinic_id","id","version"),
	CONSTRAINT "protocols_signed_off" CHECK ("protocols"."status" = 'draft' or ("protocols"."signed_off_by" is not null and "protocols"."signed_off_at" is not null))
);
--> statement-breakpoint
CREATE TABLE "referrals" (
	"clinic_id" text NOT NULL,
	"id" text NOT NULL,
	"patient_id" text NOT NULL,
	"source" "referral_source" NOT NULL,
	"external_id" text,
	"fingerprint" text NOT NULL,
	"received_at" timestamp with time zone NOT NULL,
	"referrer_name" text,
	"referrer_phone" text,
	"reason" text NOT NULL,
	"icd10" text[] NOT NULL,
	"condition_text" text,
	"priority" "referral_priority" NOT NULL,
	"stage" "referral_stage" NOT NULL,
	"protocol_id" text,
	"protocol_version" integer,
	"condition_id" text,
	"side" "side",
	"see_by" timestamp with time zone,
	"image_received" boolean DEFAULT false NOT NULL,
	"is_stopped" boolean DEFAULT false NOT NULL,
	"closed_because" text,
	"version" integer DEFAULT 1 NOT NULL,
	"created_at" timestamp with time zone NOT NULL,
	CONSTRAINT "referrals_clinic_id_id_pk" PRIMARY KEY("clinic_id","id"),
	CONSTRAINT "referrals_triaged_whole" CHECK ("referrals"."stage" in ('received', 'closed') or ("referrals"."protocol_id" is not null and "referrals"."condition_id" is not null and "referrals"."side" is not null and "referrals"."see_by" is not null)),
	CONSTRAINT "referrals_closed_why" CHECK (("referrals"."stage" = 'closed') = ("referrals"."closed_because" is not null))
);
--> statement-breakpoint
CREATE TABLE "tasks" (
	"clinic_id" text NOT NULL,
	"id" text NOT NULL,
	"referral_id" text NOT NULL,
	"kind" "task_kind" NOT NULL,
	"dedupe_key" text NOT NULL,
	"detail" jsonb NOT NULL,
	"opened_at" timestamp with time zone NOT NULL,
	"due_at" timestamp with time zone,
	"done_at" timestamp with time zone,
	"done_by" text,
	"done_note" text,
	CONSTRAINT "tasks_clinic_id_id_pk" PRIMARY KEY("clinic_id","id")
);
--> statement-breakpoint
CREATE TABLE "messages" (
	"clinic_id" text NOT NULL,
	"id" text NOT NULL,
	"referral_id" text NOT NULL,
	"visit_id" text,
	"kind" "message_kind" NOT NULL,
	"dedupe_key" text NOT NULL,
	"due_at" timestamp with time zone NOT NULL,
	"status" "message_status" NOT NULL,
	"sent_at" timestamp with time zone,
	"fault" text,
	"attempts" integer DEFAULT 0 NOT NULL,
	"created_at" timestamp with time zone NOT NULL,
	CONSTRAINT "messages_clinic_id_id_pk" PRIMARY KEY("clinic_id","id")
);
--> statement-breakpoint
CREATE TABLE "packets" (
	"clinic_id" text NOT NULL,
	"visit_id" text NOT NULL,
	"revision" integer NOT NULL,
	"at" timestamp with time zone NOT NULL,
	"content" jsonb NOT NULL,
	"changes" jsonb NOT NULL,
	CONSTRAINT "packets_clinic_id_visit_id_revision_pk" PRIMARY KEY("clinic_id","visit_id","revision")
);
--> statement-breakpoint
CREATE TABLE "readiness_marks" (
	"clinic_id" text NOT NULL,
	"id" text NOT NULL,
	"visit_id" text NOT NULL,
	"item" "readiness_item" NOT NULL,
	"state" "mark_state" NOT NULL,
	"by" text NOT NULL,
	"by_kind" text NOT NULL,
	"at" timestamp with time zone NOT NULL,
	"note" text,
	CONSTRAINT "readiness_marks_clinic_id_id_pk" PRIMARY KEY("clinic_id","id")
);
--> statement-breakpoint
CREATE TABLE "visits" (
	"clinic_id" text NOT NULL,
	"id" text NOT NULL,
	"referral_id" text NOT NULL,
	"patient_id" text NOT NULL,
	"clinician_id" text NOT NULL,
	"session_id" text NOT NULL,
	"interpreter_id" text,
	"room_id" text,
	"mode" "visit_mode" NOT NULL,
	"status" "visit_status" NOT NULL,
	"starts_at" timestamp with time zone NOT NULL,
	"ends_at" timestamp with time zone NOT NULL,
	"busy_from" timestamp with time zone NOT NULL,
	"busy_to" timestamp with time zone NOT NULL,
	"hold_expires_at" timestamp with time zone,
	"held_by" text,
	"plan" jsonb,
	"assessment_id" text,
	"patient_time_zone" text NOT NULL,
	"place_state" text,
	"calendar_uid" text NOT NULL,
	"calendar_sequence" integer DEFAULT 0 NOT NULL,
	"cancelled_because" text,
	"version" integer DEFAULT 1 NOT NULL,
	"created_at" timestamp with time zone NOT NULL,
	"changed_at" timestamp with time zone NOT NULL,
	CONSTRAINT "visits_clinic_id_id_pk" PRIMARY KEY("clinic_id","id"),
	CONSTRAINT "visits_starts_before_ends" CHECK ("visits"."starts_at" < "visits"."ends_at"),
	CONSTRAINT "visits_busy_covers" CHECK ("visits"."busy_from" <= "visits"."starts_at" and "visits"."ends_at" <= "visits"."busy_to"),
	CONSTRAINT "visits_held_expires" CHECK ("visits"."status" <> 'held' or ("visits"."hold_expires_at" is not null and "visits"."held_by" is not null)),
	CONSTRAINT "visits_in_person_has_room" CHECK ("visits"."mode" = 'video' or "visits"."room_id" is not null)
);
--> statement-breakpoint
ALTER TABLE "holidays" ADD CONSTRAINT "holidays_clinic_id_clinics_id_fk" FOREIGN KEY ("clinic_id") REFERENCES "public"."clinics"("id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "staff" ADD CONSTRAINT "staff_clinic_id_clinics_id_fk" FOREIGN KEY ("clinic_id") REFERENCES "public"."clinics"("id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "staff_sessions" ADD CONSTRAINT "staff_sessions_staff_fk" FOREIGN KEY ("clinic_id","staff_id") REFERENCES "public"."staff"("clinic_id","id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "clinic_sessions" ADD CONSTRAINT "clinic_sessions_clinician_fk" FOREIGN KEY ("clinic_id","clinician_id") REFERENCES "public"."clinicians"("clinic_id","id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "clinic_sessions" ADD CONSTRAINT "clinic_sessions_interpreter_fk" FOREIGN KEY ("clinic_id","interpreter_id") REFERENCES "public"."interpreters"("clinic_id","id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "clinic_sessions" ADD CONSTRAINT "clinic_sessions_site_fk" FOREIGN KEY ("clinic_id","site_id") REFERENCES "public"."sites"("clinic_id","id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "clinic_sessions" ADD CONSTRAINT "clinic_sessions_room_fk" FOREIGN KEY ("clinic_id","room_id") REFERENCES "public"."rooms"("clinic_id","id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "clinicians" ADD CONSTRAINT "clinicians_clinic_id_clinics_id_fk" FOREIGN KEY ("clinic_id") REFERENCES "public"."clinics"("id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "interpreters" ADD CONSTRAINT "interpreters_clinic_id_clinics_id_fk" FOREIGN KEY ("clinic_id") REFERENCES "public"."clinics"("id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "licences" ADD CONSTRAINT "licences_clinician_fk" FOREIGN KEY ("clinic_id","clinician_id") REFERENCES "public"."clinicians"("clinic_id","id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "rooms" ADD CONSTRAINT "rooms_site_fk" FOREIGN KEY ("clinic_id","site_id") REFERENCES "public"."sites"("clinic_id","id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "session_exceptions" ADD CONSTRAINT "session_exceptions_session_fk" FOREIGN KEY ("clinic_id","session_id") REFERENCES "public"."clinic_sessions"("clinic_id","id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "sites" ADD CONSTRAINT "sites_clinic_id_clinics_id_fk" FOREIGN KEY ("clinic_id") REFERENCES "public"."clinics"("id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "audit_events" ADD CONSTRAINT "audit_events_clinic_fk" FOREIGN KEY ("clinic_id") REFERENCES "public"."clinics"("id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "commands" ADD CONSTRAINT "commands_clinic_fk" FOREIGN KEY ("clinic_id") REFERENCES "public"."clinics"("id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "answers" ADD CONSTRAINT "answers_referral_fk" FOREIGN KEY ("clinic_id","referral_id") REFERENCES "public"."referrals"("clinic_id","id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "assessments" ADD CONSTRAINT "assessments_referral_fk" FOREIGN KEY ("clinic_id","referral_id") REFERENCES "public"."referrals"("clinic_id","id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "home_checks" ADD CONSTRAINT "home_checks_referral_fk" FOREIGN KEY ("clinic_id","referral_id") REFERENCES "public"."referrals"("clinic_id","id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "imports" ADD CONSTRAINT "imports_clinic_id_clinics_id_fk" FOREIGN KEY ("clinic_id") REFERENCES "public"."clinics"("id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "patient_links" ADD CONSTRAINT "patient_links_referral_fk" FOREIGN KEY ("clinic_id","referral_id") REFERENCES "public"."referrals"("clinic_id","id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "patient_matches" ADD CONSTRAINT "patient_matches_referral_fk" FOREIGN KEY ("clinic_id","referral_id") REFERENCES "public"."referrals"("clinic_id","id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "patient_matches" ADD CONSTRAINT "patient_matches_candidate_fk" FOREIGN KEY ("clinic_id","candidate_id") REFERENCES "public"."patients"("clinic_id","id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "patient_sessions" ADD CONSTRAINT "patient_sessions_link_fk" FOREIGN KEY ("clinic_id","link_id") REFERENCES "public"."patient_links"("clinic_id","id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "patients" ADD CONSTRAINT "patients_clinic_id_clinics_id_fk" FOREIGN KEY ("clinic_id") REFERENCES "public"."clinics"("id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "protocols" ADD CONSTRAINT "protocols_clinic_id_clinics_id_fk" FOREIGN KEY ("clinic_id") REFERENCES "public"."clinics"("id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "referrals" ADD CONSTRAINT "referrals_patient_fk" FOREIGN KEY ("clinic_id","patient_id") REFERENCES "public"."patients"("clinic_id","id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "referrals" ADD CONSTRAINT "referrals_protocol_fk" FOREIGN KEY ("clinic_id","protocol_id","protocol_version") REFERENCES "public"."protocols"("clinic_id","id","version") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "tasks" ADD CONSTRAINT "tasks_referral_fk" FOREIGN KEY ("clinic_id","referral_id") REFERENCES "public"."referrals"("clinic_id","id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "messages" ADD CONSTRAINT "messages_referral_fk" FOREIGN KEY ("clinic_id","referral_id") REFERENCES "public"."referrals"("clinic_id","id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "packets" ADD CONSTRAINT "packets_visit_fk" FOREIGN KEY ("clinic_id","visit_id") REFERENCES "public"."visits"("clinic_id","id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "readiness_marks" ADD CONSTRAINT "readiness_marks_visit_fk" FOREIGN KEY ("clinic_id","visit_id") REFERENCES "public"."visits"("clinic_id","id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "visits" ADD CONSTRAINT "visits_referral_fk" FOREIGN KEY ("clinic_id","referral_id") REFERENCES "public"."referrals"("clinic_id","id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "visits" ADD CONSTRAINT "visits_patient_fk" FOREIGN KEY ("clinic_id","patient_id") REFERENCES "public"."patients"("clinic_id","id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "visits" ADD CONSTRAINT "visits_clinician_fk" FOREIGN KEY ("clinic_id","clinician_id") REFERENCES "public"."clinicians"("clinic_id","id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "visits" ADD CONSTRAINT "visits_session_fk" FOREIGN KEY ("clinic_id","session_id") REFERENCES "public"."clinic_sessions"("clinic_id","id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "visits" ADD CONSTRAINT "visits_interpreter_fk" FOREIGN KEY ("clinic_id","interpreter_id") REFERENCES "public"."interpreters"("clinic_id","id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "visits" ADD CONSTRAINT "visits_room_fk" FOREIGN KEY ("clinic_id","room_id") REFERENCES "public"."rooms"("clinic_id","id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
CREATE INDEX "clinic_sessions_clinician_idx" ON "clinic_sessions" USING btree ("clinic_id","clinician_id");--> statement-breakpoint
CREATE INDEX "audit_events_referral_idx" ON "audit_events" USING btree ("clinic_id","referral_id","at");--> statement-breakpoint
CREATE INDEX "assessments_referral_idx" ON "assessments" USING btree ("clinic_id","referral_id","at");--> statement-breakpoint
CREATE UNIQUE INDEX "patient_links_token_hash_key" ON "patient_links" USING btree ("clinic_id","token_hash");--> statement-breakpoint
CREATE UNIQUE INDEX "patient_sessions_token_hash_key" ON "patient_sessions" USING btree ("clinic_id","token_hash");--> statement-breakpoint
CREATE INDEX "patients_name_idx" ON "patients" USING btree ("clinic_id","family_name","given_name");--> statement-breakpoint
CREATE INDEX "patients_birth_date_idx" ON "patients" USING btree ("clinic_id","birth_date");--> statement-breakpoint
CREATE UNIQUE INDEX "referrals_fingerprint_key" ON "referrals" USING btree ("clinic_id","fingerprint");--> statement-breakpoint
CREATE INDEX "referrals_desk_idx" ON "referrals" USING btree ("clinic_id","stage","see_by");--> statement-breakpoint
CREATE INDEX "referrals_patient_idx" ON "referrals" USING btree ("clinic_id","patient_id");--> statement-breakpoint
CREATE UNIQUE INDEX "tasks_open_key" ON "tasks" USING btree ("clinic_id","referral_id","dedupe_key") WHERE "tasks"."done_at" is null;--> statement-breakpoint
CREATE UNIQUE INDEX "messages_dedupe_key" ON "messages" USING btree ("clinic_id","dedupe_key");--> statement-breakpoint
CREATE INDEX "messages_visit_idx" ON "messages" USING btree ("clinic_id","visit_id");--> statement-breakpoint
CREATE INDEX "messages_referral_idx" ON "messages" USING btree ("clinic_id","referral_id");--> statement-breakpoint
CREATE INDEX "readiness_marks_visit_idx" ON "readiness_marks" USING btree ("clinic_id","visit_id","at");--> statement-breakpoint
CREATE UNIQUE INDEX "visits_one_booked" ON "visits" USING btree ("clinic_id","referral_id") WHERE "visits"."status" = 'booked';--> statement-breakpoint
CREATE UNIQUE INDEX "visits_one_held" ON "visits" USING btree ("clinic_id","referral_id") WHERE "visits"."status" = 'held';--> statement-breakpoint
CREATE INDEX "visits_starts_idx" ON "visits" USING btree ("clinic_id","starts_at");--> statement-breakpoint
CREATE INDEX "visits_clinician_idx" ON "visits" USING btree ("clinic_id","clinician_id","starts_at");