-- Years of single tries take long to count, so each day that is over is counted once. Whatever changes what is counted of a
-- day takes its count back. Whoever changes shares the clinic's lock, and whoever counts has it alone: so nothing that is not
-- yet committed is left out of a count that it could not take back.
CREATE FUNCTION farstep_count_day(of_clinic text, of_date date) RETURNS void LANGUAGE plpgsql AS $$
DECLARE
  zone text;
BEGIN
  PERFORM pg_advisory_xact_lock(hashtextextended('farstep counted days ' || of_clinic, 0));
  SELECT time_zone INTO zone FROM clinics WHERE id = of_clinic;
  DELETE FROM counted_days WHERE clinic_id = of_clinic AND on_date = of_date;
  INSERT INTO counted_days (clinic_id, on_date) VALUES (of_clinic, of_date);
  INSERT INTO day_tries (clinic_id, on_date, protocol_id, protocol_version, station_id, way_id, result, reason, n)
    SELECT of_clinic, of_date, r.protocol_id, r.protocol_version, o.station_id, o.way_id, o.result, o.reason, count(*)
    FROM visits v
    JOIN visit_records rec ON rec.clinic_id = v.clinic_id AND rec.visit_id = v.id AND rec.signed_at IS NOT NULL
    JOIN referrals r ON r.clinic_id = v.clinic_id AND r.id = v.referral_id
    JOIN station_outcomes o ON o.clinic_id = v.clinic_id AND o.visit_id = v.id AND o.as_planned
    WHERE v.clinic_id = of_clinic AND v.starts_at >= of_date::timestamp AT TIME ZONE zone
      AND v.starts_at < (of_date + 1)::timestamp AT TIME ZONE zone AND v.status = 'done'
    GROUP BY r.protocol_id, r.protocol_version, o.station_id, o.way_id, o.result, o.reason;
END
$$;
--> statement-breakpoint
CREATE FUNCTION farstep_take_back_day(of_clinic text, of_start timestamptz) RETURNS void LANGUAGE plpgsql AS $$
BEGIN
  PERFORM pg_advisory_xact_lock_shared(hashtextextended('farstep counted days ' || of_clinic, 0));
  DELETE FROM counted_days d USING clinics c
    WHERE c.id = of_clinic AND d.clinic_id = of_clinic AND d.on_date = (of_start AT TIME ZONE c.time_zone)::date;
END
$$;
--> statement-breakpoint
CREATE FUNCTION farstep_visit_counts_anew() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  PERFORM farstep_take_back_day(OLD.clinic_id, OLD.starts_at);
  PERFORM farstep_take_back_day(NEW.clinic_id, NEW.starts_at);
  RETURN NULL;
END
$$;
--> statement-breakpoint
CREATE TRIGGER visits_count_anew AFTER UPDATE ON "visits"
  FOR EACH ROW WHEN ((OLD.status = 'done' OR NEW.status = 'done')
    AND (OLD.status, OLD.starts_at, OLD.referral_id) IS DISTINCT FROM (NEW.status, NEW.starts_at, NEW.referral_id))
  EXECUTE FUNCTION farstep_visit_counts_anew();
--> statement-breakpoint
-- Also where the visit is not done as far as can be seen: whoever says so may not have committed yet.
CREATE FUNCTION farstep_record_counts_anew() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  PERFORM farstep_take_back_day(v.clinic_id, v.starts_at)
    FROM visits v WHERE v.clinic_id = NEW.clinic_id AND v.id = NEW.visit_id;
  RETURN NULL;
END
$$;
--> statement-breakpoint
-- A record has no entries yet when it is opened, and takes none after it is signed.
CREATE TRIGGER visit_records_count_anew AFTER UPDATE ON "visit_records"
  FOR EACH ROW WHEN (OLD.signed_at IS DISTINCT FROM NEW.signed_at) EXECUTE FUNCTION farstep_record_counts_anew();
--> statement-breakpoint
CREATE FUNCTION farstep_referral_counts_anew() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  PERFORM farstep_take_back_day(v.clinic_id, v.starts_at)
    FROM visits v WHERE v.clinic_id = NEW.clinic_id AND v.referral_id = NEW.id;
  RETURN NULL;
END
$$;
--> statement-breakpoint
CREATE TRIGGER referrals_count_anew AFTER UPDATE ON "referrals"
  FOR EACH ROW WHEN ((OLD.protocol_id, OLD.protocol_version) IS DISTINCT FROM (NEW.protocol_id, NEW.protocol_version))
  EXECUTE FUNCTION farstep_referral_counts_anew();
--> statement-breakpoint
-- Where days begin elsewhere, every visit may belong to another.
CREATE FUNCTION farstep_clinic_counts_anew() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  PERFORM pg_advisory_xact_lock_shared(hashtextextended('farstep counted days ' || NEW.id, 0));
  DELETE FROM counted_days WHERE clinic_id = NEW.id;
  RETURN NULL;
END
$$;
--> statement-breakpoint
CREATE TRIGGER clinics_count_anew AFTER UPDATE ON "clinics"
  FOR EACH ROW WHEN (OLD.time_zone IS DISTINCT FROM NEW.time_zone) EXECUTE FUNCTION farstep_clinic_counts_anew();
