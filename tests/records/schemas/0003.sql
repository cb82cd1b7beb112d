PRAGMA application_id = 1380535879;
BEGIN TRANSACTION;
CREATE TABLE actions (
	id INTEGER NOT NULL, 
	at TEXT NOT NULL, 
	day TEXT NOT NULL, 
	by_whom TEXT NOT NULL, 
	command TEXT NOT NULL, 
	undoes INTEGER, 
	PRIMARY KEY (id), 
	UNIQUE (undoes), 
	CONSTRAINT fk_actions_undoes FOREIGN KEY(undoes) REFERENCES actions (id)
)
 STRICT

;
INSERT INTO "actions" VALUES(1,'2026-03-01T09:30:00+00:00','2026-03-01','Ida','first evening',NULL);
INSERT INTO "actions" VALUES(2,'2026-03-02T09:30:00+00:00','2026-03-02','Ida','log',NULL);
INSERT INTO "actions" VALUES(3,'2026-03-03T09:30:00+00:00','2026-03-03','Ida','correct',NULL);
INSERT INTO "actions" VALUES(4,'2026-03-04T09:30:00+00:00','2026-03-04','Ida','delete',NULL);
INSERT INTO "actions" VALUES(5,'2026-03-05T09:30:00+00:00','2026-03-05','Ida','slip',NULL);
INSERT INTO "actions" VALUES(6,'2026-03-06T09:30:00+00:00','2026-03-06','Ida','undo',5);
INSERT INTO "actions" VALUES(7,'2026-03-07T09:30:00+00:00','2026-03-07','Ida','weather import',NULL);
INSERT INTO "actions" VALUES(8,'2026-03-08T09:30:00+00:00','2026-03-08','Ida','weather import',NULL);
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0003');
CREATE TABLE entry_revisions (
	id TEXT NOT NULL, 
	revision INTEGER NOT NULL, 
	action_id INTEGER NOT NULL, 
	recorded_at TEXT NOT NULL, 
	recorded_on TEXT NOT NULL, 
	withdrawn INTEGER NOT NULL, 
	tree TEXT NOT NULL, 
	kind TEXT NOT NULL, 
	noted_typed TEXT NOT NULL, 
	noted_earliest TEXT, 
	noted_latest TEXT, 
	noted_precision TEXT NOT NULL, 
	data TEXT NOT NULL, 
	note TEXT NOT NULL, 
	by_whom TEXT NOT NULL, 
	confirmed_by TEXT NOT NULL, 
	CONSTRAINT pk_entry_revisions PRIMARY KEY (id, revision), 
	CONSTRAINT ck_entry_revisions_revision CHECK (revision >= 1), 
	CONSTRAINT ck_entry_revisions_withdrawn CHECK (withdrawn IN (0, 1)), 
	CONSTRAINT fk_entry_revisions_action FOREIGN KEY(action_id) REFERENCES actions (id)
)
 STRICT

;
INSERT INTO "entry_revisions" VALUES('E1',1,2,'2026-03-02T09:30:00+00:00','2026-03-02',0,'T01','stage','2026-03-20','2026-03-20','2026-03-20','day','{"code":"07","extent":"first","last_seen_before":"2026-03-15"}','','Ida','Jon');
INSERT INTO "entry_revisions" VALUES('E2',1,2,'2026-03-02T09:30:00+00:00','2026-03-02',0,'T01','girth','2026-03-20','2026-03-20','2026-03-20','day','{"girth_mm":520.0,"typed":{"girth_mm":"52 cm"}}','','Ida','Jon');
INSERT INTO "entry_revisions" VALUES('E3',1,2,'2026-03-02T09:30:00+00:00','2026-03-02',0,'T01','work','spring 21','2021-03-01','2021-05-31','season','{"operation":"repot","root_removed_frac":0.5}','mice','Ida','Jon');
INSERT INTO "entry_revisions" VALUES('E4',1,2,'2026-03-02T09:30:00+00:00','2026-03-02',0,'T02','vigour','no idea',NULL,NULL,'unknown','{"score":2}','','Ida','Jon');
INSERT INTO "entry_revisions" VALUES('E5',1,2,'2026-03-02T09:30:00+00:00','2026-03-02',0,'T02','note','2026-03-21','2026-03-21','2026-03-21','day','{}','smells sour below; “cold” Ø','Ida','Jon');
INSERT INTO "entry_revisions" VALUES('E6',1,2,'2026-03-02T09:30:00+00:00','2026-03-02',0,'T02','planned','spring 2027','2027-03-01','2027-05-31','season','{"operation":"root_rescue","reason":"V2"}','','Ida','Jon');
INSERT INTO "entry_revisions" VALUES('E2',2,3,'2026-03-03T09:30:00+00:00','2026-03-03',0,'T01','girth','2026-03-20','2026-03-20','2026-03-20','day','{"girth_mm":525.0}','','Ida','Jon');
INSERT INTO "entry_revisions" VALUES('E5',2,4,'2026-03-04T09:30:00+00:00','2026-03-04',1,'T02','note','2026-03-21','2026-03-21','2026-03-21','day','{}','smells sour below; “cold” Ø','Ida','Jon');
CREATE TABLE job_blocks (
	job_id TEXT NOT NULL, 
	block INTEGER NOT NULL, 
	payload BLOB NOT NULL, 
	CONSTRAINT pk_job_blocks PRIMARY KEY (job_id, block), 
	CONSTRAINT fk_job_blocks_job FOREIGN KEY(job_id) REFERENCES jobs (id)
)
 STRICT

;
INSERT INTO "job_blocks" VALUES('job-1',0,X'0001');
CREATE TABLE jobs (
	id TEXT NOT NULL, 
	kind TEXT NOT NULL, 
	state TEXT NOT NULL, 
	progress_frac REAL NOT NULL, 
	cancel_requested INTEGER NOT NULL, 
	resume TEXT NOT NULL, 
	error TEXT NOT NULL, 
	created_at TEXT NOT NULL, 
	changed_at TEXT NOT NULL, 
	finished_at TEXT, 
	PRIMARY KEY (id), 
	CONSTRAINT ck_jobs_state CHECK (state IN ('queued', 'running', 'done', 'failed', 'cancelled')), 
	CONSTRAINT ck_jobs_progress CHECK (progress_frac BETWEEN 0 AND 1)
)
 STRICT

;
INSERT INTO "jobs" VALUES('job-1','futures','running',0.25,0,'{"from": 3}','','2026-03-01T09:30:00+00:00','2026-03-01T09:30:00+00:00',NULL);
CREATE TABLE mix_revisions (
	id TEXT NOT NULL, 
	revision INTEGER NOT NULL, 
	action_id INTEGER NOT NULL, 
	recorded_at TEXT NOT NULL, 
	recorded_on TEXT NOT NULL, 
	withdrawn INTEGER NOT NULL, 
	name TEXT NOT NULL, 
	parts TEXT NOT NULL, 
	note TEXT NOT NULL, 
	CONSTRAINT pk_mix_revisions PRIMARY KEY (id, revision), 
	CONSTRAINT ck_mix_revisions_revision CHECK (revision >= 1), 
	CONSTRAINT ck_mix_revisions_withdrawn CHECK (withdrawn IN (0, 1)), 
	CONSTRAINT fk_mix_revisions_action FOREIGN KEY(action_id) REFERENCES actions (id)
)
 STRICT

;
INSERT INTO "mix_revisions" VALUES('D',1,1,'2026-03-01T09:30:00+00:00','2026-03-01',0,'deciduous','[["pumice",2.0],["bark",1.0]]','');
CREATE TABLE place_revisions (
	id TEXT NOT NULL, 
	revision INTEGER NOT NULL, 
	action_id INTEGER NOT NULL, 
	recorded_at TEXT NOT NULL, 
	recorded_on TEXT NOT NULL, 
	withdrawn INTEGER NOT NULL, 
	tree TEXT NOT NULL, 
	place TEXT NOT NULL, 
	kind TEXT NOT NULL, 
	since_typed TEXT NOT NULL, 
	since_earliest TEXT, 
	since_latest TEXT, 
	since_precision TEXT NOT NULL, 
	until_typed TEXT, 
	until_earliest TEXT, 
	until_latest TEXT, 
	until_precision TEXT, x_mm REAL, y_mm REAL, 
	CONSTRAINT pk_place_revisions PRIMARY KEY (id, revision), 
	CONSTRAINT ck_place_revisions_revision CHECK (revision >= 1), 
	CONSTRAINT ck_place_revisions_withdrawn CHECK (withdrawn IN (0, 1)), 
	CONSTRAINT fk_place_revisions_action FOREIGN KEY(action_id) REFERENCES actions (id)
)
 STRICT

;
INSERT INTO "place_revisions" VALUES('L1',1,1,'2026-03-01T09:30:00+00:00','2026-03-01',0,'T01','B3','bench','spring 21','2021-03-01','2021-05-31','season',NULL,NULL,NULL,NULL,450.0,250.0);
INSERT INTO "place_revisions" VALUES('L2',1,1,'2026-03-01T09:30:00+00:00','2026-03-01',0,'T02','Shed','shed','2026-01-01','2026-01-01','2026-01-01','day','2026-03-01','2026-03-01','2026-03-01','day',NULL,NULL);
CREATE TABLE pot_revisions (
	id TEXT NOT NULL, 
	revision INTEGER NOT NULL, 
	action_id INTEGER NOT NULL, 
	recorded_at TEXT NOT NULL, 
	recorded_on TEXT NOT NULL, 
	withdrawn INTEGER NOT NULL, 
	shape TEXT NOT NULL, 
	length_mm REAL, 
	width_mm REAL, 
	depth_mm REAL, 
	typed TEXT NOT NULL, 
	holes TEXT NOT NULL, 
	material TEXT NOT NULL, 
	colour TEXT NOT NULL, 
	tree TEXT, 
	note TEXT NOT NULL, 
	CONSTRAINT pk_pot_revisions PRIMARY KEY (id, revision), 
	CONSTRAINT ck_pot_revisions_revision CHECK (revision >= 1), 
	CONSTRAINT ck_pot_revisions_withdrawn CHECK (withdrawn IN (0, 1)), 
	CONSTRAINT fk_pot_revisions_action FOREIGN KEY(action_id) REFERENCES actions (id)
)
 STRICT

;
INSERT INTO "pot_revisions" VALUES('P1',1,1,'2026-03-01T09:30:00+00:00','2026-03-01',0,'oval',304.8,228.6,63.5,'12x9x2.5 in','[[18.0,-60.0,0.0]]','clay','grey','T01','');
INSERT INTO "pot_revisions" VALUES('P2',1,1,'2026-03-01T09:30:00+00:00','2026-03-01',0,'ground',NULL,NULL,NULL,'','[]','','',NULL,'');
CREATE TABLE results (
	"key" TEXT NOT NULL, 
	kind TEXT NOT NULL, 
	payload TEXT NOT NULL, 
	engine_version TEXT NOT NULL, 
	seed INTEGER, 
	made_at TEXT NOT NULL, 
	PRIMARY KEY ("key")
)
 STRICT

;
INSERT INTO "results" VALUES('abc','outlook','{"day": 87}','1',7,'2026-03-01T09:30:00+00:00');
CREATE TABLE setting_revisions (
	id TEXT NOT NULL, 
	revision INTEGER NOT NULL, 
	action_id INTEGER NOT NULL, 
	recorded_at TEXT NOT NULL, 
	recorded_on TEXT NOT NULL, 
	withdrawn INTEGER NOT NULL, 
	value TEXT NOT NULL, 
	CONSTRAINT pk_setting_revisions PRIMARY KEY (id, revision), 
	CONSTRAINT ck_setting_revisions_revision CHECK (revision >= 1), 
	CONSTRAINT ck_setting_revisions_withdrawn CHECK (withdrawn IN (0, 1)), 
	CONSTRAINT fk_setting_revisions_action FOREIGN KEY(action_id) REFERENCES actions (id)
)
 STRICT

;
INSERT INTO "setting_revisions" VALUES('south',1,1,'2026-03-01T09:30:00+00:00','2026-03-01',0,'false');
CREATE TABLE tree_revisions (
	id TEXT NOT NULL, 
	revision INTEGER NOT NULL, 
	action_id INTEGER NOT NULL, 
	recorded_at TEXT NOT NULL, 
	recorded_on TEXT NOT NULL, 
	withdrawn INTEGER NOT NULL, 
	name TEXT NOT NULL, 
	species TEXT NOT NULL, 
	species_sure INTEGER NOT NULL, 
	origin TEXT NOT NULL, 
	started_typed TEXT NOT NULL, 
	started_earliest TEXT, 
	started_latest TEXT, 
	started_precision TEXT NOT NULL, 
	stage TEXT, 
	parent TEXT, 
	front_mark TEXT NOT NULL, 
	goal TEXT NOT NULL, 
	size_class TEXT, 
	quarantine_until TEXT, 
	retired_typed TEXT, 
	retired_earliest TEXT, 
	retired_latest TEXT, 
	retired_precision TEXT, 
	note TEXT NOT NULL, 
	CONSTRAINT pk_tree_revisions PRIMARY KEY (id, revision), 
	CONSTRAINT ck_tree_revisions_revision CHECK (revision >= 1), 
	CONSTRAINT ck_tree_revisions_withdrawn CHECK (withdrawn IN (0, 1)), 
	CONSTRAINT fk_tree_revisions_action FOREIGN KEY(action_id) REFERENCES actions (id)
)
 STRICT

;
INSERT INTO "tree_revisions" VALUES('T01',1,1,'2026-03-01T09:30:00+00:00','2026-03-01',0,'Gatepost','Carpinus betulus',1,'','about 1984','1982-01-01','1986-12-31','circa','S7',NULL,'pin','','L',NULL,NULL,NULL,NULL,NULL,'');
INSERT INTO "tree_revisions" VALUES('T02',1,1,'2026-03-01T09:30:00+00:00','2026-03-01',0,'Spindle','Malus',0,'','unknown',NULL,NULL,'unknown',NULL,'T01','','',NULL,'2026-09-01',NULL,NULL,NULL,NULL,'');
INSERT INTO "tree_revisions" VALUES('T03',1,1,'2026-03-01T09:30:00+00:00','2026-03-01',0,'Long Gone','Ulmus procera',1,'','unknown',NULL,NULL,'unknown',NULL,NULL,'','',NULL,NULL,'2025','2025-01-01','2025-12-31','year','');
INSERT INTO "tree_revisions" VALUES('T01',2,5,'2026-03-05T09:30:00+00:00','2026-03-05',0,'Slip','Fagus sylvatica',1,'','unknown',NULL,NULL,'unknown',NULL,NULL,'','',NULL,NULL,NULL,NULL,NULL,NULL,'');
INSERT INTO "tree_revisions" VALUES('T01',3,6,'2026-03-06T09:30:00+00:00','2026-03-06',0,'Gatepost','Carpinus betulus',1,'','about 1984','1982-01-01','1986-12-31','circa','S7',NULL,'pin','','L',NULL,NULL,NULL,NULL,NULL,'');
CREATE TABLE weather_days (
	batch TEXT NOT NULL, 
	day TEXT NOT NULL, 
	"tmin_degC" REAL, 
	"tmax_degC" REAL, 
	"tmean_degC" REAL, 
	rain_mm REAL, 
	rh_min_pct REAL, 
	rh_max_pct REAL, 
	wind_2m_m_s REAL, 
	radiation_mj_m2 REAL, 
	sunshine_h REAL, 
	filled INTEGER NOT NULL, 
	CONSTRAINT pk_weather_days PRIMARY KEY (batch, day)
)
 WITHOUT ROWID,
 STRICT

;
INSERT INTO "weather_days" VALUES('W7','2026-03-01',1.5,NULL,NULL,0.0,NULL,NULL,NULL,NULL,NULL,0);
INSERT INTO "weather_days" VALUES('W7','2026-03-02',NULL,NULL,NULL,2.5,NULL,NULL,NULL,NULL,NULL,1);
INSERT INTO "weather_days" VALUES('W7','2026-03-03',3.0,NULL,NULL,0.0,NULL,NULL,NULL,NULL,NULL,0);
INSERT INTO "weather_days" VALUES('W8','2026-03-09',2.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,0);
INSERT INTO "weather_days" VALUES('W8','2026-03-10',4.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,0);
INSERT INTO "weather_days" VALUES('W8-2','2026-03-08',5.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,0);
CREATE TABLE weather_revisions (
	id TEXT NOT NULL, 
	revision INTEGER NOT NULL, 
	action_id INTEGER NOT NULL, 
	recorded_at TEXT NOT NULL, 
	recorded_on TEXT NOT NULL, 
	withdrawn INTEGER NOT NULL, 
	station TEXT NOT NULL, 
	source TEXT NOT NULL, 
	invented INTEGER NOT NULL, role TEXT NOT NULL DEFAULT 'station' CONSTRAINT ck_weather_revisions_role CHECK (role IN ('station', 'forecast', 'place')), 
	CONSTRAINT pk_weather_revisions PRIMARY KEY (id, revision), 
	CONSTRAINT ck_weather_revisions_revision CHECK (revision >= 1), 
	CONSTRAINT ck_weather_revisions_withdrawn CHECK (withdrawn IN (0, 1)), 
	CONSTRAINT fk_weather_revisions_action FOREIGN KEY(action_id) REFERENCES actions (id)
)
 STRICT

;
INSERT INTO "weather_revisions" VALUES('W7',1,7,'2026-03-07T09:30:00+00:00','2026-03-07',0,'yard','invented',1,'station');
INSERT INTO "weather_revisions" VALUES('W8',1,8,'2026-03-08T09:30:00+00:00','2026-03-08',0,'yard','',1,'forecast');
INSERT INTO "weather_revisions" VALUES('W8-2',1,8,'2026-03-08T09:30:00+00:00','2026-03-08',0,'Shed','',1,'place');
CREATE TRIGGER actions_no_update BEFORE UPDATE ON actions BEGIN SELECT RAISE(ABORT, 'the history in actions is never changed'); END;
CREATE TRIGGER actions_no_delete BEFORE DELETE ON actions BEGIN SELECT RAISE(ABORT, 'the history in actions is never changed'); END;
CREATE INDEX ix_tree_revisions_action ON tree_revisions (action_id);
CREATE TRIGGER tree_revisions_no_update BEFORE UPDATE ON tree_revisions BEGIN SELECT RAISE(ABORT, 'the history in tree_revisions is never changed'); END;
CREATE TRIGGER tree_revisions_no_delete BEFORE DELETE ON tree_revisions BEGIN SELECT RAISE(ABORT, 'the history in tree_revisions is never changed'); END;
CREATE INDEX ix_place_revisions_action ON place_revisions (action_id);
CREATE TRIGGER place_revisions_no_update BEFORE UPDATE ON place_revisions BEGIN SELECT RAISE(ABORT, 'the history in place_revisions is never changed'); END;
CREATE TRIGGER place_revisions_no_delete BEFORE DELETE ON place_revisions BEGIN SELECT RAISE(ABORT, 'the history in place_revisions is never changed'); END;
CREATE INDEX ix_pot_revisions_action ON pot_revisions (action_id);
CREATE TRIGGER pot_revisions_no_update BEFORE UPDATE ON pot_revisions BEGIN SELECT RAISE(ABORT, 'the history in pot_revisions is never changed'); END;
CREATE TRIGGER pot_revisions_no_delete BEFORE DELETE ON pot_revisions BEGIN SELECT RAISE(ABORT, 'the history in pot_revisions is never changed'); END;
CREATE INDEX ix_mix_revisions_action ON mix_revisions (action_id);
CREATE TRIGGER mix_revisions_no_update BEFORE UPDATE ON mix_revisions BEGIN SELECT RAISE(ABORT, 'the history in mix_revisions is never changed'); END;
CREATE TRIGGER mix_revisions_no_delete BEFORE DELETE ON mix_revisions BEGIN SELECT RAISE(ABORT, 'the history in mix_revisions is never changed'); END;
CREATE INDEX ix_entry_revisions_action ON entry_revisions (action_id);
CREATE TRIGGER entry_revisions_no_update BEFORE UPDATE ON entry_revisions BEGIN SELECT RAISE(ABORT, 'the history in entry_revisions is never changed'); END;
CREATE TRIGGER entry_revisions_no_delete BEFORE DELETE ON entry_revisions BEGIN SELECT RAISE(ABORT, 'the history in entry_revisions is never changed'); END;
CREATE INDEX ix_entry_revisions_tree ON entry_revisions (tree, kind);
CREATE INDEX ix_setting_revisions_action ON setting_revisions (action_id);
CREATE TRIGGER setting_revisions_no_update BEFORE UPDATE ON setting_revisions BEGIN SELECT RAISE(ABORT, 'the history in setting_revisions is never changed'); END;
CREATE TRIGGER setting_revisions_no_delete BEFORE DELETE ON setting_revisions BEGIN SELECT RAISE(ABORT, 'the history in setting_revisions is never changed'); END;
CREATE INDEX ix_weather_revisions_action ON weather_revisions (action_id);
CREATE TRIGGER weather_revisions_no_update BEFORE UPDATE ON weather_revisions BEGIN SELECT RAISE(ABORT, 'the history in weather_revisions is never changed'); END;
CREATE TRIGGER weather_revisions_no_delete BEFORE DELETE ON weather_revisions BEGIN SELECT RAISE(ABORT, 'the history in weather_revisions is never changed'); END;
CREATE INDEX ix_weather_revisions_station ON weather_revisions (station);
CREATE TRIGGER weather_days_no_update BEFORE UPDATE ON weather_days BEGIN SELECT RAISE(ABORT, 'the history in weather_days is never changed'); END;
CREATE TRIGGER weather_days_no_delete BEFORE DELETE ON weather_days BEGIN SELECT RAISE(ABORT, 'the history in weather_days is never changed'); END;
COMMIT;
