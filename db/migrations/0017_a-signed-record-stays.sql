-- A signed record is kept as it was signed. The lock makes an entry and a signature that meet wait for each other.
CREATE FUNCTION farstep_keep_signed_record() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
  of_clinic text := CASE WHEN TG_OP = 'DELETE' THEN OLD.clinic_id ELSE NEW.clinic_id END;
  of_visit text := CASE WHEN TG_OP = 'DELETE' THEN OLD.visit_id ELSE NEW.visit_id END;
  signed timestamptz;
BEGIN
  SELECT signed_at INTO signed FROM visit_records
    WHERE clinic_id = of_clinic AND visit_id = of_visit FOR SHARE;
  IF signed IS NOT NULL THEN
    RAISE EXCEPTION 'the record is signed: add an addendum'
      USING ERRCODE = 'restrict_violation', CONSTRAINT = 'visit_records_signed_kept';
  END IF;
  RETURN CASE WHEN TG_OP = 'DELETE' THEN OLD ELSE NEW END;
END
$$;
--> statement-breakpoint
CREATE TRIGGER visit_checks_signed BEFORE INSERT OR UPDATE OR DELETE ON "visit_checks"
  FOR EACH ROW EXECUTE FUNCTION farstep_keep_signed_record();
--> statement-breakpoint
CREATE TRIGGER station_outcomes_signed BEFORE INSERT OR UPDATE OR DELETE ON "station_outcomes"
  FOR EACH ROW EXECUTE FUNCTION farstep_keep_signed_record();
--> statement-breakpoint
CREATE TRIGGER findings_signed BEFORE INSERT OR UPDATE OR DELETE ON "findings"
  FOR EACH ROW EXECUTE FUNCTION farstep_keep_signed_record();
--> statement-breakpoint
CREATE TRIGGER follow_ups_append_only BEFORE UPDATE OR DELETE ON "follow_ups"
  FOR EACH ROW EXECUTE FUNCTION farstep_refuse_change();
--> statement-breakpoint
CREATE TRIGGER addenda_append_only BEFORE UPDATE OR DELETE ON "addenda"
  FOR EACH ROW EXECUTE FUNCTION farstep_refuse_change();
--> statement-breakpoint
CREATE FUNCTION farstep_refuse_signed_change() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  RAISE EXCEPTION 'the record is signed: add an addendum'
    USING ERRCODE = 'restrict_violation', CONSTRAINT = 'visit_records_signed_kept';
END
$$;
--> statement-breakpoint
CREATE TRIGGER visit_records_signed_kept BEFORE UPDATE OR DELETE ON "visit_records"
  FOR EACH ROW WHEN (OLD.signed_at IS NOT NULL) EXECUTE FUNCTION farstep_refuse_signed_change();
--> statement-breakpoint
-- A stop for safety is never taken back.
CREATE FUNCTION farstep_keep_stop() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  RAISE EXCEPTION 'a stop for safety stays on record'
    USING ERRCODE = 'restrict_violation', CONSTRAINT = 'visit_records_stop_kept';
END
$$;
--> statement-breakpoint
CREATE TRIGGER visit_records_stop_kept BEFORE UPDATE ON "visit_records"
  FOR EACH ROW WHEN (OLD.stopped_at IS NOT NULL AND NEW.stopped_at IS DISTINCT FROM OLD.stopped_at)
  EXECUTE FUNCTION farstep_keep_stop();
--> statement-breakpoint
-- An addendum is added to a signed record, never instead of one.
CREATE FUNCTION farstep_addendum_needs_signature() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  IF NOT EXISTS (SELECT 1 FROM visit_records
    WHERE clinic_id = NEW.clinic_id AND visit_id = NEW.visit_id AND signed_at IS NOT NULL) THEN
    RAISE EXCEPTION 'the record is not signed yet: write in the record itself'
      USING ERRCODE = 'restrict_violation', CONSTRAINT = 'addenda_need_signature';
  END IF;
  RETURN NEW;
END
$$;
--> statement-breakpoint
CREATE TRIGGER addenda_need_signature BEFORE INSERT ON "addenda"
  FOR EACH ROW EXECUTE FUNCTION farstep_addendum_needs_signature();
--> statement-breakpoint
-- What was predicted stays beside what came of it: from the first entry on, a visit keeps its plan, its screening, its
-- start and its clinician, and is not cancelled any more.
CREATE FUNCTION farstep_keep_begun_visit() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  IF EXISTS (SELECT 1 FROM visit_records WHERE clinic_id = NEW.clinic_id AND visit_id = NEW.id) THEN
    RAISE EXCEPTION 'the visit has begun'
      USING ERRCODE = 'restrict_violation', CONSTRAINT = 'visits_begun_kept';
  END IF;
  RETURN NEW;
END
$$;
--> statement-breakpoint
CREATE TRIGGER visits_begun_kept BEFORE UPDATE ON "visits"
  FOR EACH ROW WHEN (
    OLD.plan IS DISTINCT FROM NEW.plan
    OR OLD.assessment_id IS DISTINCT FROM NEW.assessment_id
    OR OLD.starts_at IS DISTINCT FROM NEW.starts_at
    OR OLD.clinician_id IS DISTINCT FROM NEW.clinician_id
    OR (OLD.status <> NEW.status AND NEW.status IN ('cancelled', 'lapsed', 'held'))
  ) EXECUTE FUNCTION farstep_keep_begun_visit();
