-- The roles of the records on a PostgreSQL server. Run it as the owner of the records,
-- once the program has opened them, and again after each update of the program:
--
--   stillroom records roles | psql 'postgres://owner@server/records'
--
-- Three groups, which cannot log in themselves:
--   stillroom_viewer     reads
--   stillroom_operator   keeps takes, units, notes and tags, rigs with their calibrations
--                        and boards; cannot delete, nor change models and references
--   stillroom_developer  all of that, and deletes, restores, changes models and references
-- Nobody but the owner can change or remove what is in the history, or a recording,
-- except that a developer may shed a recording whose impulse responses stay.
--
-- Each person is a login of their own:
--   CREATE ROLE mara LOGIN IN ROLE stillroom_operator;   and then in psql:  \password mara
-- Let the server ask for it encrypted: in pg_hba.conf "hostssl records all all scram-sha-256".

DO $$
DECLARE
	one text;
BEGIN
	FOREACH one IN ARRAY ARRAY['stillroom_viewer', 'stillroom_operator', 'stillroom_developer'] LOOP
		IF NOT EXISTS (SELECT FROM pg_roles WHERE rolname = one) THEN
			EXECUTE format('CREATE ROLE %I NOLOGIN', one);
		END IF;
		EXECUTE format('GRANT CONNECT ON DATABASE %I TO %I', current_database(), one);
		EXECUTE format('GRANT USAGE ON SCHEMA %I TO %I', current_schema(), one);
		EXECUTE format('REVOKE ALL ON ALL TABLES IN SCHEMA %I FROM %I', current_schema(), one);
		EXECUTE format('GRANT SELECT ON ALL TABLES IN SCHEMA %I TO %I', current_schema(), one);
	END LOOP;
END $$;

GRANT INSERT ON take, take_document, recording, find, word, unit, document, tag, note, counter, event
	TO stillroom_operator, stillroom_developer;
GRANT UPDATE ON find, unit, counter TO stillroom_operator, stillroom_developer;
GRANT DELETE ON word, tag TO stillroom_operator, stillroom_developer;
GRANT UPDATE (version, at_us, who, body) ON document TO stillroom_operator, stillroom_developer;

GRANT UPDATE (deleted_us) ON document TO stillroom_developer;
GRANT UPDATE (deleted_us, bytes) ON take TO stillroom_developer;
GRANT UPDATE ON take_document TO stillroom_developer;
GRANT DELETE ON recording TO stillroom_developer;

-- Who may write a document depends on its kind. Its owner is not held by this.
ALTER TABLE document ENABLE ROW LEVEL SECURITY;
DROP POLICY IF EXISTS all_read ON document;
DROP POLICY IF EXISTS operators_add ON document;
DROP POLICY IF EXISTS operators_change ON document;
DROP POLICY IF EXISTS developers_write ON document;
CREATE POLICY all_read ON document FOR SELECT USING (true);
CREATE POLICY operators_add ON document FOR INSERT TO stillroom_operator
	WITH CHECK (kind IN ('rig', 'board'));
CREATE POLICY operators_change ON document FOR UPDATE TO stillroom_operator
	USING (true) WITH CHECK (kind IN ('rig', 'board'));
CREATE POLICY developers_write ON document FOR ALL TO stillroom_developer
	USING (true) WITH CHECK (true);
