-- Events that are about a log and not about a job: who records, whose business it is, which logs were seen.
CREATE INDEX leaves_about_logs ON leaves (place) WHERE job IS NULL;
