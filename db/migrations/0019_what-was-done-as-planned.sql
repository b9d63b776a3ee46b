-- Whether a station was done in the way that the visit's plan named. The plan stays from the first entry on, so this can be
-- written down with the entry, whoever writes it.
CREATE FUNCTION farstep_mark_as_planned() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  NEW.as_planned := coalesce((
    SELECT plan->'steps' @> jsonb_build_array(jsonb_build_object('stationId', NEW.station_id, 'wayId', NEW.way_id))
    FROM visits WHERE clinic_id = NEW.clinic_id AND id = NEW.visit_id), false);
  RETURN NEW;
END
$$;
--> statement-breakpoint
CREATE TRIGGER station_outcomes_as_planned BEFORE INSERT OR UPDATE ON "station_outcomes"
  FOR EACH ROW EXECUTE FUNCTION farstep_mark_as_planned();
--> statement-breakpoint
-- What is there already counts as planned by the column's default; only the few that were done in another way are touched.
-- Signed records too: it adds to them what they say already.
ALTER TABLE "station_outcomes" DISABLE TRIGGER station_outcomes_signed, DISABLE TRIGGER station_outcomes_as_planned;
--> statement-breakpoint
UPDATE station_outcomes o SET as_planned = false WHERE NOT EXISTS (
  SELECT FROM visits v, jsonb_to_recordset(v.plan->'steps') AS step("stationId" text, "wayId" text)
  WHERE v.clinic_id = o.clinic_id AND v.id = o.visit_id AND step."stationId" = o.station_id AND step."wayId" = o.way_id);
--> statement-breakpoint
ALTER TABLE "station_outcomes" ENABLE TRIGGER station_outcomes_signed, ENABLE TRIGGER station_outcomes_as_planned;
