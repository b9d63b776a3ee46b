CREATE TABLE "plan_choices" (
	"clinic_id" text NOT NULL,
	"id" text NOT NULL,
	"referral_id" text NOT NULL,
	"choices" jsonb NOT NULL,
	"because" text NOT NULL,
	"by" text NOT NULL,
	"at" timestamp with time zone NOT NULL,
	CONSTRAINT "plan_choices_clinic_id_id_pk" PRIMARY KEY("clinic_id","id"),
	CONSTRAINT "plan_choices_because" CHECK (length(btrim("plan_choices"."because")) > 0)
);
--> statement-breakpoint
ALTER TABLE "plan_choices" ADD CONSTRAINT "plan_choices_referral_fk" FOREIGN KEY ("clinic_id","referral_id") REFERENCES "public"."referrals"("clinic_id","id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
CREATE INDEX "plan_choices_referral_idx" ON "plan_choices" USING btree ("clinic_id","referral_id","at");