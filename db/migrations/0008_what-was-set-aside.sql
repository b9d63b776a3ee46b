ALTER TABLE "visits" ADD COLUMN "released" text[] DEFAULT '{}'::text[] NOT NULL;--> statement-breakpoint
ALTER TABLE "visits" ADD COLUMN "released_because" text;--> statement-breakpoint
ALTER TABLE "visits" ADD CONSTRAINT "visits_released_why" CHECK (not ("visits"."released" && array['after_see_by', 'urgent_starts']) or "visits"."released_because" is not null);