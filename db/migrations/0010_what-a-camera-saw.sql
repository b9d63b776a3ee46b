CREATE TABLE "rehearsals" (
	"clinic_id" text NOT NULL,
	"id" text NOT NULL,
	"referral_id" text NOT NULL,
	"at" timestamp with time zone NOT NULL,
	"readings" jsonb NOT NULL,
	"advice" text[] NOT NULL,
	CONSTRAINT "rehearsals_clinic_id_id_pk" PRIMARY KEY("clinic_id","id")
);
--> statement-breakpoint
ALTER TABLE "rehearsals" ADD CONSTRAINT "rehearsals_referral_fk" FOREIGN KEY ("clinic_id","referral_id") REFERENCES "public"."referrals"("clinic_id","id") ON DELETE restrict ON UPDATE no action;--> statement-breakpoint
CREATE INDEX "rehearsals_referral_idx" ON "rehearsals" USING btree ("clinic_id","referral_id","at");