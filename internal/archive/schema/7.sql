-- The field's word for what a person says against a finding.
ALTER TABLE overrule RENAME TO override;
DROP INDEX overrule_trial;
CREATE INDEX override_trial ON override (trial, item, side, id);
