-- What was written down while it was true is never written again.
CREATE TRIGGER readiness_kept_append_only BEFORE UPDATE OR DELETE ON "readiness_kept"
  FOR EACH ROW EXECUTE FUNCTION farstep_refuse_change();
--> statement-breakpoint
CREATE TRIGGER waits_kept_append_only BEFORE UPDATE OR DELETE ON "waits_kept"
  FOR EACH ROW EXECUTE FUNCTION farstep_refuse_change();
--> statement-breakpoint
CREATE TRIGGER way_reviews_append_only BEFORE UPDATE OR DELETE ON "way_reviews"
  FOR EACH ROW EXECUTE FUNCTION farstep_refuse_change();
