DROP INDEX "visits_one_booked";--> statement-breakpoint
CREATE UNIQUE INDEX "visits_one_booked" ON "visits" USING btree ("clinic_id","referral_id","mode") WHERE "visits"."status" = 'booked';