-- What must never happen, whatever the code does. Drizzle can't express these.
CREATE EXTENSION IF NOT EXISTS btree_gist;
--> statement-breakpoint
-- Nobody is in two places at once. A clinician's time includes the buffers; the
-- others only the visit itself. 'done' and 'no_show' still fill their time.
ALTER TABLE "visits" ADD CONSTRAINT "visits_clinician_no_overlap"
  EXCLUDE USING gist ("clinic_id" WITH =, "clinician_id" WITH =, tstzrange("busy_from", "busy_to") WITH &&)
  WHERE ("status" IN ('held', 'booked', 'done', 'no_show'));
--> statement-breakpoint
ALTER TABLE "visits" ADD CONSTRAINT "visits_patient_no_overlap"
  EXCLUDE USING gist ("clinic_id" WITH =, "patient_id" WITH =, tstzrange("starts_at", "ends_at") WITH &&)
  WHERE ("status" IN ('booked', 'done', 'no_show'));
--> statement-breakpoint
ALTER TABLE "visits" ADD CONSTRAINT "visits_interpreter_no_overlap"
  EXCLUDE USING gist ("clinic_id" WITH =, "interpreter_id" WITH =, tstzrange("starts_at", "ends_at") WITH &&)
  WHERE ("status" IN ('held', 'booked', 'done', 'no_show'));
--> statement-breakpoint
ALTER TABLE "visits" ADD CONSTRAINT "visits_room_no_overlap"
  EXCLUDE USING gist ("clinic_id" WITH =, "room_id" WITH =, tstzrange("starts_at", "ends_at") WITH &&)
  WHERE ("status" IN ('held', 'booked', 'done', 'no_show'));
--> statement-breakpoint
CREATE FUNCTION farstep_refuse_change() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  RAISE EXCEPTION '% on % is refused: its rows are kept as they were written', TG_OP, TG_TABLE_NAME
    USING ERRCODE = 'restrict_violation', CONSTRAINT = TG_TABLE_NAME || '_append_only';
END
$$;
--> statement-breakpoint
CREATE TRIGGER audit_events_append_only BEFORE UPDATE OR DELETE ON "audit_events"
  FOR EACH ROW EXECUTE FUNCTION farstep_refuse_change();
--> statement-breakpoint
CREATE TRIGGER audit_events_no_truncate BEFORE TRUNCATE ON "audit_events"
  FOR EACH STATEMENT EXECUTE FUNCTION farstep_refuse_change();
--> statement-breakpoint
CREATE TRIGGER assessments_append_only BEFORE UPDATE OR DELETE ON "assessments"
  FOR EACH ROW EXECUTE FUNCTION farstep_refuse_change();
--> statement-breakpoint
CREATE TRIGGER packets_append_only BEFORE UPDATE OR DELETE ON "packets"
  FOR EACH ROW EXECUTE FUNCTION farstep_refuse_change();
--> statement-breakpoint
CREATE TRIGGER readiness_marks_append_only BEFORE UPDATE OR DELETE ON "readiness_marks"
  FOR EACH ROW EXECUTE FUNCTION farstep_refuse_change();
--> statement-breakpoint
-- A protocol that was signed off keeps its words; it can only be retired.
CREATE FUNCTION farstep_keep_signed_off() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  IF TG_OP = 'DELETE' OR OLD.document IS DISTINCT FROM NEW.document OR NEW.status = 'draft' THEN
    RAISE EXCEPTION 'a signed-off protocol version is never changed: make a new version'
      USING ERRCODE = 'restrict_violation', CONSTRAINT = 'protocols_signed_off_kept';
  END IF;
  RETURN NEW;
END
$$;
--> statement-breakpoint
CREATE TRIGGER protocols_signed_off_kept BEFORE UPDATE OR DELETE ON "protocols"
  FOR EACH ROW WHEN (OLD.status <> 'draft') EXECUTE FUNCTION farstep_keep_signed_off();
--> statement-breakpoint
-- The engine's answer to one referral is read newest first, all the time.
CREATE INDEX "assessments_newest_idx" ON "assessments" ("clinic_id", "referral_id", "at" DESC);
