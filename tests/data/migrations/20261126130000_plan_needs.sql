-- A plan that says what its work needs.
UPDATE plans SET needs = '{"lock":true,"hard_days":20,"crew":2,"access":"Key 4"}' WHERE id = 102;
