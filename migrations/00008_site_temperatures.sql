-- +goose Up
SET LOCAL lock_timeout = '5s';

-- Water as warm as the calculation takes it.
ALTER TABLE sites
    DROP CONSTRAINT sites_t_water_c_check,
    ADD CONSTRAINT sites_t_water_c_check CHECK (t_water_c BETWEEN 0 AND 45);
