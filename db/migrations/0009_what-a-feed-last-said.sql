ALTER TABLE "calendar_feeds" ADD COLUMN "content_hash" text;--> statement-breakpoint
ALTER TABLE "calendar_feeds" ADD COLUMN "content_changed_at" timestamp with time zone;