-- What clinicians decided about an exam is kept as it was written.
CREATE TRIGGER plan_choices_append_only BEFORE UPDATE OR DELETE ON "plan_choices"
  FOR EACH ROW EXECUTE FUNCTION farstep_refuse_change();
--> statement-breakpoint
-- Whoever looks at a readiness board hears that something on it changed, whichever process changed it and by whatever way:
-- the clinic, and the start (whole seconds since 1970, UTC) of the visit, or a star where any visit may be meant. It says
-- no more than that: what changed is read by those who may read it. Repeats in one transaction are said once.
CREATE FUNCTION farstep_say_board(clinic_id text, starts_at timestamptz) RETURNS void LANGUAGE sql AS $$
  SELECT pg_notify('board_changes', clinic_id || ' ' || coalesce(floor(extract(epoch FROM starts_at))::bigint::text, '*'))
$$;
--> statement-breakpoint
CREATE FUNCTION farstep_say_visit() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  IF TG_OP = 'UPDATE' AND OLD.status IN ('booked', 'done', 'no_show') THEN
    PERFORM farstep_say_board(OLD.clinic_id, OLD.starts_at);
  END IF;
  IF NEW.status IN ('booked', 'done', 'no_show') THEN
    PERFORM farstep_say_board(NEW.clinic_id, NEW.starts_at);
  END IF;
  RETURN NULL;
END
$$;
--> statement-breakpoint
CREATE TRIGGER visits_say_board AFTER INSERT OR UPDATE ON "visits"
  FOR EACH ROW EXECUTE FUNCTION farstep_say_visit();
--> statement-breakpoint
CREATE FUNCTION farstep_say_visit_of() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  PERFORM farstep_say_board(v.clinic_id, v.starts_at) FROM visits v
    WHERE v.clinic_id = NEW.clinic_id AND v.id = NEW.visit_id AND v.status IN ('booked', 'done', 'no_show');
  RETURN NULL;
END
$$;
--> statement-breakpoint
CREATE TRIGGER readiness_marks_say_board AFTER INSERT ON "readiness_marks"
  FOR EACH ROW EXECUTE FUNCTION farstep_say_visit_of();
--> statement-breakpoint
CREATE TRIGGER packets_say_board AFTER INSERT ON "packets"
  FOR EACH ROW EXECUTE FUNCTION farstep_say_visit_of();
--> statement-breakpoint
CREATE FUNCTION farstep_say_visits_of_referral() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  PERFORM farstep_say_board(v.clinic_id, v.starts_at) FROM visits v
    WHERE v.clinic_id = NEW.clinic_id AND v.referral_id = NEW.referral_id AND v.status IN ('booked', 'done', 'no_show');
  RETURN NULL;
END
$$;
--> statement-breakpoint
CREATE TRIGGER home_checks_say_board AFTER INSERT OR UPDATE ON "home_checks"
  FOR EACH ROW EXECUTE FUNCTION farstep_say_visits_of_referral();
--> statement-breakpoint
CREATE TRIGGER tasks_say_board AFTER INSERT OR UPDATE ON "tasks"
  FOR EACH ROW EXECUTE FUNCTION farstep_say_visits_of_referral();
--> statement-breakpoint
CREATE TRIGGER plan_choices_say_board AFTER INSERT ON "plan_choices"
  FOR EACH ROW EXECUTE FUNCTION farstep_say_visits_of_referral();
--> statement-breakpoint
CREATE FUNCTION farstep_say_visits_of_triage() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  PERFORM farstep_say_board(v.clinic_id, v.starts_at) FROM visits v
    WHERE v.clinic_id = NEW.clinic_id AND v.referral_id = NEW.id AND v.status IN ('booked', 'done', 'no_show');
  RETURN NULL;
END
$$;
--> statement-breakpoint
CREATE TRIGGER referrals_say_board AFTER UPDATE ON "referrals"
  FOR EACH ROW WHEN ((OLD.side, OLD.condition_id, OLD.image_received, OLD.is_stopped, OLD.patient_id)
    IS DISTINCT FROM (NEW.side, NEW.condition_id, NEW.image_received, NEW.is_stopped, NEW.patient_id))
  EXECUTE FUNCTION farstep_say_visits_of_triage();
--> statement-breakpoint
CREATE FUNCTION farstep_say_visits_of_patient() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  PERFORM farstep_say_board(v.clinic_id, v.starts_at) FROM referrals r JOIN visits v
    ON v.clinic_id = r.clinic_id AND v.referral_id = r.id AND v.status IN ('booked', 'done', 'no_show')
    WHERE r.clinic_id = NEW.clinic_id AND r.patient_id = NEW.id;
  RETURN NULL;
END
$$;
--> statement-breakpoint
CREATE TRIGGER patients_say_board AFTER UPDATE ON "patients"
  FOR EACH ROW EXECUTE FUNCTION farstep_say_visits_of_patient();
--> statement-breakpoint
-- People, places and licences stand on many visits, and change seldom.
CREATE FUNCTION farstep_say_clinic() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  PERFORM farstep_say_board(coalesce(NEW.clinic_id, OLD.clinic_id), NULL);
  RETURN NULL;
END
$$;
--> statement-breakpoint
CREATE TRIGGER clinicians_say_board AFTER UPDATE ON "clinicians" FOR EACH ROW EXECUTE FUNCTION farstep_say_clinic();
--> statement-breakpoint
CREATE TRIGGER interpreters_say_board AFTER UPDATE ON "interpreters" FOR EACH ROW EXECUTE FUNCTION farstep_say_clinic();
--> statement-breakpoint
CREATE TRIGGER rooms_say_board AFTER UPDATE ON "rooms" FOR EACH ROW EXECUTE FUNCTION farstep_say_clinic();
--> statement-breakpoint
CREATE TRIGGER sites_say_board AFTER UPDATE ON "sites" FOR EACH ROW EXECUTE FUNCTION farstep_say_clinic();
--> statement-breakpoint
CREATE TRIGGER licences_say_board AFTER INSERT OR UPDATE OR DELETE ON "licences"
  FOR EACH ROW EXECUTE FUNCTION farstep_say_clinic();
