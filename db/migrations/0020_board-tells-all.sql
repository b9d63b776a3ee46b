-- A reading of a board is kept until something on it changes, so everything a board says has to be told of when it changes:
-- what was done last on a referral, names of staff, the clinic's own policy, and the protocol of a referral too.
CREATE TRIGGER audit_events_say_board AFTER INSERT ON "audit_events"
  FOR EACH ROW WHEN (NEW.referral_id IS NOT NULL AND NEW.action NOT LIKE 'message.%')
  EXECUTE FUNCTION farstep_say_visits_of_referral();
--> statement-breakpoint
DROP TRIGGER referrals_say_board ON "referrals";
--> statement-breakpoint
CREATE TRIGGER referrals_say_board AFTER UPDATE ON "referrals"
  FOR EACH ROW WHEN ((OLD.side, OLD.protocol_id, OLD.protocol_version, OLD.condition_id, OLD.image_received, OLD.is_stopped,
    OLD.patient_id) IS DISTINCT FROM (NEW.side, NEW.protocol_id, NEW.protocol_version, NEW.condition_id, NEW.image_received,
    NEW.is_stopped, NEW.patient_id))
  EXECUTE FUNCTION farstep_say_visits_of_triage();
--> statement-breakpoint
CREATE TRIGGER staff_say_board AFTER UPDATE ON "staff"
  FOR EACH ROW WHEN (OLD.name IS DISTINCT FROM NEW.name) EXECUTE FUNCTION farstep_say_clinic();
--> statement-breakpoint
CREATE FUNCTION farstep_say_clinic_itself() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  PERFORM farstep_say_board(NEW.id, NULL);
  RETURN NULL;
END
$$;
--> statement-breakpoint
CREATE TRIGGER clinics_say_board AFTER UPDATE ON "clinics" FOR EACH ROW EXECUTE FUNCTION farstep_say_clinic_itself();
