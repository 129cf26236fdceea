-- +goose Up

-- When the week's report goes out: a weekday, or "none"; and whether there is one
-- of the month, on the 1st.
ALTER TABLE squad ADD COLUMN weekly_on TEXT NOT NULL DEFAULT 'monday';
ALTER TABLE squad ADD COLUMN monthly INTEGER NOT NULL DEFAULT 1;
