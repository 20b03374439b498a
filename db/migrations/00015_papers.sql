-- Whether a trip crosses a border with customs (blank: not said), and what a cylinder holds of water, as stamped
-- on it: compressed gas is counted by that on the road.

-- +goose Up
ALTER TABLE trip ADD COLUMN customs boolean CHECK (customs OR customs_list_by IS NULL);
ALTER TABLE part ADD COLUMN water_ul bigint CHECK (water_ul > 0);
