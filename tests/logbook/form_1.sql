-- A logbook of form 1, as the last program of that form wrote it: never to be changed.
PRAGMA application_id = 1936487033;
PRAGMA user_version = 1;
BEGIN TRANSACTION;
CREATE TABLE calibration (
  entry INTEGER NOT NULL REFERENCES entry (id) CHECK (typeof(entry) = 'integer'),
  n INTEGER NOT NULL CHECK (typeof(n) = 'integer') CHECK (n > 0),
  meter INTEGER REFERENCES thing (id) CHECK (meter IS NULL OR typeof(meter) = 'integer'),
  shows TEXT NOT NULL CHECK ((typeof(shows) = 'text' AND shows <> '')) CHECK (shows IN ('mV', 'pH')),
  fit TEXT NOT NULL CHECK ((typeof(fit) = 'text' AND fit <> '')) CHECK (fit IN ('line', 'bracket')),
  thermometer REAL CHECK (thermometer IS NULL OR (typeof(thermometer) = 'real' AND abs(thermometer) < 1e9)),
  resolution REAL CHECK (resolution IS NULL OR (typeof(resolution) = 'real' AND abs(resolution) < 1e9)),
  repeatability REAL CHECK (repeatability IS NULL OR (typeof(repeatability) = 'real' AND abs(repeatability) < 1e9)),
  junction REAL CHECK (junction IS NULL OR (typeof(junction) = 'real' AND abs(junction) < 1e9)),
  compensates INTEGER CHECK (compensates IS NULL OR compensates IN (0, 1)),
  PRIMARY KEY (entry, n)
) WITHOUT ROWID;
INSERT INTO "calibration" VALUES(2,1,1,'pH','line',NULL,NULL,NULL,NULL,NULL);
CREATE TABLE entry (
  id INTEGER PRIMARY KEY NOT NULL,
  uid TEXT NOT NULL UNIQUE CHECK ((typeof(uid) = 'text' AND uid <> '')) CHECK (uid GLOB '[0-9a-f]*' AND length(uid) = 20),
  at TEXT NOT NULL CHECK ((typeof(at) = 'text' AND at <> '')),
  utc_offset INTEGER NOT NULL CHECK (typeof(utc_offset) = 'integer') CHECK (abs(utc_offset) <= 1080),
  day_only INTEGER NOT NULL CHECK (day_only IN (0, 1)),
  day TEXT NOT NULL CHECK ((typeof(day) = 'text' AND day <> '')) CHECK (day = date(at, utc_offset || ' minutes')),
  recorded TEXT NOT NULL CHECK ((typeof(recorded) = 'text' AND recorded <> '')),
  kind TEXT NOT NULL CHECK ((typeof(kind) = 'text' AND kind <> '')),
  keeper TEXT CHECK (keeper IS NULL OR (typeof(keeper) = 'text' AND keeper <> '')),
  note TEXT CHECK (note IS NULL OR (typeof(note) = 'text' AND note <> '')),
  method TEXT NOT NULL CHECK ((typeof(method) = 'text' AND method <> '')),
  part_of INTEGER REFERENCES entry (id) CHECK (part_of IS NULL OR typeof(part_of) = 'integer')
);
INSERT INTO "entry" VALUES(1,'978cfac0e6db6320cfc4','2024-05-04T08:30:00Z',120,0,'2024-05-04','2024-05-04T08:30:00.000Z','kit','desk team',NULL,'1',NULL);
INSERT INTO "entry" VALUES(2,'82d5204dba56300ff2f8','2024-05-04T08:30:00Z',120,0,'2024-05-04','2024-05-04T08:30:00.000Z','calibrate',NULL,NULL,'1',NULL);
INSERT INTO "entry" VALUES(3,'8c41cd3d5a458785e477','2024-05-04T08:30:00Z',120,0,'2024-05-04','2024-05-04T08:30:00.000Z','read',NULL,NULL,'1',NULL);
INSERT INTO "entry" VALUES(4,'57be5f8d1121630ad542','2024-05-05T08:30:00Z',120,0,'2024-05-05','2024-05-05T08:30:00.000Z','event',NULL,NULL,'1',NULL);
INSERT INTO "entry" VALUES(5,'63e7c7b8adc5a1ad8c94','2024-05-04T08:30:00Z',120,0,'2024-05-04','2024-05-06T08:30:00.000Z','fix',NULL,'misread','1',3);
INSERT INTO "entry" VALUES(6,'9f6d873ac8d779aad6eb','2024-05-07T08:30:00Z',120,0,'2024-05-07','2024-05-07T08:30:00.000Z','undo',NULL,'another case','1',NULL);
CREATE TABLE event (
  entry INTEGER NOT NULL REFERENCES entry (id) CHECK (typeof(entry) = 'integer'),
  n INTEGER NOT NULL CHECK (typeof(n) = 'integer') CHECK (n > 0),
  enclosure INTEGER NOT NULL REFERENCES thing (id) CHECK (typeof(enclosure) = 'integer'),
  kind TEXT NOT NULL CHECK ((typeof(kind) = 'text' AND kind <> '')),
  amount REAL CHECK (amount IS NULL OR (typeof(amount) = 'real' AND abs(amount) < 1e9)),
  unit TEXT CHECK (unit IS NULL OR (typeof(unit) = 'text' AND unit <> '')),
  note TEXT CHECK (note IS NULL OR (typeof(note) = 'text' AND note <> '')),
  PRIMARY KEY (entry, n)
) WITHOUT ROWID;
INSERT INTO "event" VALUES(4,1,7,'water',500.0,'mL',NULL);
CREATE TABLE mark (
  entry INTEGER NOT NULL REFERENCES entry (id) CHECK (typeof(entry) = 'integer'),
  n INTEGER NOT NULL CHECK (typeof(n) = 'integer') CHECK (n > 0),
  key TEXT NOT NULL CHECK ((typeof(key) = 'text' AND key <> '')),
  value TEXT NOT NULL CHECK ((typeof(value) = 'text' AND value <> '')),
  PRIMARY KEY (entry, n)
) WITHOUT ROWID;
INSERT INTO "mark" VALUES(4,1,'done','true');
CREATE TABLE point (
  entry INTEGER NOT NULL REFERENCES entry (id) CHECK (typeof(entry) = 'integer'),
  n INTEGER NOT NULL CHECK (typeof(n) = 'integer') CHECK (n > 0),
  calibration_entry INTEGER NOT NULL REFERENCES entry (id) CHECK (typeof(calibration_entry) = 'integer'),
  calibration_n INTEGER NOT NULL CHECK (typeof(calibration_n) = 'integer'),
  role TEXT NOT NULL CHECK ((typeof(role) = 'text' AND role <> '')) CHECK (role IN ('point', 'check', 'close')),
  bottle INTEGER NOT NULL REFERENCES thing (id) CHECK (typeof(bottle) = 'integer'),
  shows REAL NOT NULL CHECK ((typeof(shows) = 'real' AND abs(shows) < 1e9)),
  again TEXT CHECK (again IS NULL OR (typeof(again) = 'text' AND again <> '')),
  temperature REAL CHECK (temperature IS NULL OR (typeof(temperature) = 'real' AND abs(temperature) < 1e9)),
  PRIMARY KEY (entry, n),
  FOREIGN KEY (calibration_entry, calibration_n) REFERENCES calibration (entry, n),
  CHECK ((calibration_entry IS NULL) = (calibration_n IS NULL))
) WITHOUT ROWID;
INSERT INTO "point" VALUES(2,1,2,1,'point',3,7.04,NULL,21.0);
INSERT INTO "point" VALUES(2,2,2,1,'point',2,4.06,NULL,21.0);
CREATE TABLE probing (
  entry INTEGER NOT NULL REFERENCES entry (id) CHECK (typeof(entry) = 'integer'),
  n INTEGER NOT NULL CHECK (typeof(n) = 'integer') CHECK (n > 0),
  probe INTEGER REFERENCES thing (id) CHECK (probe IS NULL OR typeof(probe) = 'integer'),
  enclosure INTEGER REFERENCES thing (id) CHECK (enclosure IS NULL OR typeof(enclosure) = 'integer'),
  slurry_entry INTEGER REFERENCES entry (id) CHECK (slurry_entry IS NULL OR typeof(slurry_entry) = 'integer'),
  slurry_n INTEGER CHECK (slurry_n IS NULL OR typeof(slurry_n) = 'integer'),
  shows REAL NOT NULL CHECK ((typeof(shows) = 'real' AND abs(shows) < 1e9)),
  spot TEXT CHECK (spot IS NULL OR (typeof(spot) = 'text' AND spot <> '')),
  note TEXT CHECK (note IS NULL OR (typeof(note) = 'text' AND note <> '')),
  PRIMARY KEY (entry, n),
  FOREIGN KEY (slurry_entry, slurry_n) REFERENCES slurry (entry, n),
  CHECK ((slurry_entry IS NULL) = (slurry_n IS NULL))
) WITHOUT ROWID;
INSERT INTO "probing" VALUES(3,2,4,7,3,1,6.6,NULL,NULL);
INSERT INTO "probing" VALUES(3,4,4,7,3,2,6.5,NULL,NULL);
CREATE TABLE reading (
  entry INTEGER NOT NULL REFERENCES entry (id) CHECK (typeof(entry) = 'integer'),
  n INTEGER NOT NULL CHECK (typeof(n) = 'integer') CHECK (n > 0),
  slurry_entry INTEGER NOT NULL REFERENCES entry (id) CHECK (typeof(slurry_entry) = 'integer'),
  slurry_n INTEGER NOT NULL CHECK (typeof(slurry_n) = 'integer'),
  calibration_entry INTEGER REFERENCES entry (id) CHECK (calibration_entry IS NULL OR typeof(calibration_entry) = 'integer'),
  calibration_n INTEGER CHECK (calibration_n IS NULL OR typeof(calibration_n) = 'integer'),
  shows REAL NOT NULL CHECK ((typeof(shows) = 'real' AND abs(shows) < 1e9)),
  again TEXT CHECK (again IS NULL OR (typeof(again) = 'text' AND again <> '')),
  temperature REAL CHECK (temperature IS NULL OR (typeof(temperature) = 'real' AND abs(temperature) < 1e9)),
  u REAL CHECK (u IS NULL OR (typeof(u) = 'real' AND abs(u) < 1e9)) CHECK (u >= 0),
  note TEXT CHECK (note IS NULL OR (typeof(note) = 'text' AND note <> '')),
  PRIMARY KEY (entry, n),
  FOREIGN KEY (slurry_entry, slurry_n) REFERENCES slurry (entry, n),
  FOREIGN KEY (calibration_entry, calibration_n) REFERENCES calibration (entry, n),
  CHECK ((slurry_entry IS NULL) = (slurry_n IS NULL)),
  CHECK ((calibration_entry IS NULL) = (calibration_n IS NULL))
) WITHOUT ROWID;
INSERT INTO "reading" VALUES(3,1,3,1,2,1,5.97,NULL,21.5,NULL,NULL);
INSERT INTO "reading" VALUES(3,3,3,2,2,1,6.02,NULL,21.5,NULL,NULL);
INSERT INTO "reading" VALUES(5,1,3,1,2,1,5.9,NULL,21.5,NULL,NULL);
CREATE TABLE setting (
  entry INTEGER NOT NULL REFERENCES entry (id) CHECK (typeof(entry) = 'integer'),
  n INTEGER NOT NULL CHECK (typeof(n) = 'integer') CHECK (n > 0),
  thing INTEGER NOT NULL REFERENCES thing (id) CHECK (typeof(thing) = 'integer'),
  key TEXT NOT NULL CHECK ((typeof(key) = 'text' AND key <> '')),
  value TEXT NOT NULL CHECK ((typeof(value) = 'text' AND value <> '')),
  PRIMARY KEY (entry, n)
) WITHOUT ROWID;
INSERT INTO "setting" VALUES(1,1,1,'name','"desk"');
INSERT INTO "setting" VALUES(1,2,1,'shows','"pH"');
INSERT INTO "setting" VALUES(1,3,2,'name','"acid 2"');
INSERT INTO "setting" VALUES(1,4,2,'label','"4.01"');
INSERT INTO "setting" VALUES(1,5,2,'tolerance','0.02');
INSERT INTO "setting" VALUES(1,6,3,'name','"neutral 2"');
INSERT INTO "setting" VALUES(1,7,3,'label','"7.00"');
INSERT INTO "setting" VALUES(1,8,4,'name','"stick"');
INSERT INTO "setting" VALUES(1,9,5,'name','"window"');
INSERT INTO "setting" VALUES(1,10,5,'target','[5.4,6.5]');
INSERT INTO "setting" VALUES(1,11,5,'floor','5.0');
INSERT INTO "setting" VALUES(1,12,6,'name','"stairs"');
INSERT INTO "setting" VALUES(1,13,7,'name','"atlas"');
CREATE TABLE shown (
  entry INTEGER NOT NULL REFERENCES entry (id) CHECK (typeof(entry) = 'integer'),
  n INTEGER NOT NULL CHECK (typeof(n) = 'integer') CHECK (n > 0),
  command TEXT NOT NULL CHECK ((typeof(command) = 'text' AND command <> '')),
  result TEXT NOT NULL CHECK ((typeof(result) = 'text' AND result <> '')),
  method TEXT NOT NULL CHECK ((typeof(method) = 'text' AND method <> '')),
  PRIMARY KEY (entry, n)
) WITHOUT ROWID;
INSERT INTO "shown" VALUES(4,1,'event','{}','1');
CREATE TABLE slurry (
  entry INTEGER NOT NULL REFERENCES entry (id) CHECK (typeof(entry) = 'integer'),
  n INTEGER NOT NULL CHECK (typeof(n) = 'integer') CHECK (n > 0),
  enclosure INTEGER REFERENCES thing (id) CHECK (enclosure IS NULL OR typeof(enclosure) = 'integer'),
  label TEXT CHECK (label IS NULL OR (typeof(label) = 'text' AND label <> '')),
  spot TEXT CHECK (spot IS NULL OR (typeof(spot) = 'text' AND spot <> '')),
  ratio REAL CHECK (ratio IS NULL OR (typeof(ratio) = 'real' AND abs(ratio) < 1e9)) CHECK (ratio > 0),
  basis TEXT NOT NULL CHECK ((typeof(basis) = 'text' AND basis <> '')) CHECK (basis IN ('volume', 'mass', 'paste')),
  solution TEXT NOT NULL CHECK ((typeof(solution) = 'text' AND solution <> '')),
  note TEXT CHECK (note IS NULL OR (typeof(note) = 'text' AND note <> '')),
  PRIMARY KEY (entry, n)
) WITHOUT ROWID;
INSERT INTO "slurry" VALUES(3,1,7,'C1',NULL,2.0,'volume','distilled water',NULL);
INSERT INTO "slurry" VALUES(3,2,7,'C2',NULL,2.0,'volume','distilled water',NULL);
CREATE TABLE thing (
  id INTEGER PRIMARY KEY NOT NULL,
  uid TEXT NOT NULL UNIQUE CHECK ((typeof(uid) = 'text' AND uid <> '')) CHECK (uid GLOB '[0-9a-f]*' AND length(uid) = 20),
  kind TEXT NOT NULL CHECK ((typeof(kind) = 'text' AND kind <> '')) CHECK (kind IN ('enclosure', 'meter', 'probe', 'bottle', 'cup')),
  entry INTEGER NOT NULL REFERENCES entry (id) CHECK (typeof(entry) = 'integer')
);
INSERT INTO "thing" VALUES(1,'daa5c66b49e3e63bb3cc','meter',1);
INSERT INTO "thing" VALUES(2,'c8bb9ab0b5a69f7a6596','bottle',1);
INSERT INTO "thing" VALUES(3,'9961e348f5f3af31158b','bottle',1);
INSERT INTO "thing" VALUES(4,'7bafff1b4f692c100ee5','probe',1);
INSERT INTO "thing" VALUES(5,'e7a9fd11ff436c33595f','enclosure',1);
INSERT INTO "thing" VALUES(6,'121899c730b0419500de','enclosure',1);
INSERT INTO "thing" VALUES(7,'d76cd15f3c61c8795593','enclosure',1);
CREATE TABLE void (
  entry INTEGER NOT NULL REFERENCES entry (id) CHECK (typeof(entry) = 'integer'),
  n INTEGER NOT NULL CHECK (typeof(n) = 'integer') CHECK (n > 0),
  target_entry INTEGER NOT NULL REFERENCES entry (id) CHECK (typeof(target_entry) = 'integer'),
  target_n INTEGER CHECK (target_n IS NULL OR typeof(target_n) = 'integer'),
  reason TEXT CHECK (reason IS NULL OR (typeof(reason) = 'text' AND reason <> '')),
  PRIMARY KEY (entry, n)
) WITHOUT ROWID;
INSERT INTO "void" VALUES(5,1,3,1,'misread');
INSERT INTO "void" VALUES(6,1,4,NULL,'another case');
CREATE INDEX entry_by_at ON entry (at);
CREATE INDEX entry_by_day ON entry (day);
CREATE INDEX entry_by_part_of ON entry (part_of);
CREATE INDEX entry_by_kind ON entry (kind);
CREATE TRIGGER entry_no_update BEFORE UPDATE ON entry BEGIN SELECT RAISE(ABORT, 'the logbook is append-only: void an entry instead'); END;
CREATE TRIGGER entry_no_delete BEFORE DELETE ON entry BEGIN SELECT RAISE(ABORT, 'the logbook is append-only: void an entry instead'); END;
CREATE TRIGGER entry_no_replace BEFORE INSERT ON entry WHEN EXISTS (SELECT 1 FROM entry WHERE id = NEW.id OR uid = NEW.uid) BEGIN SELECT RAISE(ABORT, 'the logbook is append-only: void an entry instead'); END;
CREATE INDEX thing_by_entry ON thing (entry);
CREATE TRIGGER thing_no_update BEFORE UPDATE ON thing BEGIN SELECT RAISE(ABORT, 'the logbook is append-only: void an entry instead'); END;
CREATE TRIGGER thing_no_delete BEFORE DELETE ON thing BEGIN SELECT RAISE(ABORT, 'the logbook is append-only: void an entry instead'); END;
CREATE TRIGGER thing_no_replace BEFORE INSERT ON thing WHEN EXISTS (SELECT 1 FROM thing WHERE id = NEW.id OR uid = NEW.uid) BEGIN SELECT RAISE(ABORT, 'the logbook is append-only: void an entry instead'); END;
CREATE INDEX setting_by_thing_key ON setting (thing, key);
CREATE TRIGGER setting_no_update BEFORE UPDATE ON setting BEGIN SELECT RAISE(ABORT, 'the logbook is append-only: void an entry instead'); END;
CREATE TRIGGER setting_no_delete BEFORE DELETE ON setting BEGIN SELECT RAISE(ABORT, 'the logbook is append-only: void an entry instead'); END;
CREATE TRIGGER setting_no_replace BEFORE INSERT ON setting WHEN EXISTS (SELECT 1 FROM setting WHERE entry = NEW.entry AND n = NEW.n) BEGIN SELECT RAISE(ABORT, 'the logbook is append-only: void an entry instead'); END;
CREATE INDEX calibration_by_meter ON calibration (meter);
CREATE TRIGGER calibration_no_update BEFORE UPDATE ON calibration BEGIN SELECT RAISE(ABORT, 'the logbook is append-only: void an entry instead'); END;
CREATE TRIGGER calibration_no_delete BEFORE DELETE ON calibration BEGIN SELECT RAISE(ABORT, 'the logbook is append-only: void an entry instead'); END;
CREATE TRIGGER calibration_no_replace BEFORE INSERT ON calibration WHEN EXISTS (SELECT 1 FROM calibration WHERE entry = NEW.entry AND n = NEW.n) BEGIN SELECT RAISE(ABORT, 'the logbook is append-only: void an entry instead'); END;
CREATE INDEX point_by_calibration_entry_calibration_n ON point (calibration_entry, calibration_n);
CREATE TRIGGER point_no_update BEFORE UPDATE ON point BEGIN SELECT RAISE(ABORT, 'the logbook is append-only: void an entry instead'); END;
CREATE TRIGGER point_no_delete BEFORE DELETE ON point BEGIN SELECT RAISE(ABORT, 'the logbook is append-only: void an entry instead'); END;
CREATE TRIGGER point_no_replace BEFORE INSERT ON point WHEN EXISTS (SELECT 1 FROM point WHERE entry = NEW.entry AND n = NEW.n) BEGIN SELECT RAISE(ABORT, 'the logbook is append-only: void an entry instead'); END;
CREATE INDEX slurry_by_enclosure ON slurry (enclosure);
CREATE TRIGGER slurry_no_update BEFORE UPDATE ON slurry BEGIN SELECT RAISE(ABORT, 'the logbook is append-only: void an entry instead'); END;
CREATE TRIGGER slurry_no_delete BEFORE DELETE ON slurry BEGIN SELECT RAISE(ABORT, 'the logbook is append-only: void an entry instead'); END;
CREATE TRIGGER slurry_no_replace BEFORE INSERT ON slurry WHEN EXISTS (SELECT 1 FROM slurry WHERE entry = NEW.entry AND n = NEW.n) BEGIN SELECT RAISE(ABORT, 'the logbook is append-only: void an entry instead'); END;
CREATE INDEX reading_by_slurry_entry_slurry_n ON reading (slurry_entry, slurry_n);
CREATE INDEX reading_by_calibration_entry_calibration_n ON reading (calibration_entry, calibration_n);
CREATE TRIGGER reading_no_update BEFORE UPDATE ON reading BEGIN SELECT RAISE(ABORT, 'the logbook is append-only: void an entry instead'); END;
CREATE TRIGGER reading_no_delete BEFORE DELETE ON reading BEGIN SELECT RAISE(ABORT, 'the logbook is append-only: void an entry instead'); END;
CREATE TRIGGER reading_no_replace BEFORE INSERT ON reading WHEN EXISTS (SELECT 1 FROM reading WHERE entry = NEW.entry AND n = NEW.n) BEGIN SELECT RAISE(ABORT, 'the logbook is append-only: void an entry instead'); END;
CREATE INDEX probing_by_probe ON probing (probe);
CREATE INDEX probing_by_enclosure ON probing (enclosure);
CREATE INDEX probing_by_slurry_entry_slurry_n ON probing (slurry_entry, slurry_n);
CREATE TRIGGER probing_no_update BEFORE UPDATE ON probing BEGIN SELECT RAISE(ABORT, 'the logbook is append-only: void an entry instead'); END;
CREATE TRIGGER probing_no_delete BEFORE DELETE ON probing BEGIN SELECT RAISE(ABORT, 'the logbook is append-only: void an entry instead'); END;
CREATE TRIGGER probing_no_replace BEFORE INSERT ON probing WHEN EXISTS (SELECT 1 FROM probing WHERE entry = NEW.entry AND n = NEW.n) BEGIN SELECT RAISE(ABORT, 'the logbook is append-only: void an entry instead'); END;
CREATE INDEX event_by_enclosure ON event (enclosure);
CREATE TRIGGER event_no_update BEFORE UPDATE ON event BEGIN SELECT RAISE(ABORT, 'the logbook is append-only: void an entry instead'); END;
CREATE TRIGGER event_no_delete BEFORE DELETE ON event BEGIN SELECT RAISE(ABORT, 'the logbook is append-only: void an entry instead'); END;
CREATE TRIGGER event_no_replace BEFORE INSERT ON event WHEN EXISTS (SELECT 1 FROM event WHERE entry = NEW.entry AND n = NEW.n) BEGIN SELECT RAISE(ABORT, 'the logbook is append-only: void an entry instead'); END;
CREATE TRIGGER mark_no_update BEFORE UPDATE ON mark BEGIN SELECT RAISE(ABORT, 'the logbook is append-only: void an entry instead'); END;
CREATE TRIGGER mark_no_delete BEFORE DELETE ON mark BEGIN SELECT RAISE(ABORT, 'the logbook is append-only: void an entry instead'); END;
CREATE TRIGGER mark_no_replace BEFORE INSERT ON mark WHEN EXISTS (SELECT 1 FROM mark WHERE entry = NEW.entry AND n = NEW.n) BEGIN SELECT RAISE(ABORT, 'the logbook is append-only: void an entry instead'); END;
CREATE TRIGGER shown_no_update BEFORE UPDATE ON shown BEGIN SELECT RAISE(ABORT, 'the logbook is append-only: void an entry instead'); END;
CREATE TRIGGER shown_no_delete BEFORE DELETE ON shown BEGIN SELECT RAISE(ABORT, 'the logbook is append-only: void an entry instead'); END;
CREATE TRIGGER shown_no_replace BEFORE INSERT ON shown WHEN EXISTS (SELECT 1 FROM shown WHERE entry = NEW.entry AND n = NEW.n) BEGIN SELECT RAISE(ABORT, 'the logbook is append-only: void an entry instead'); END;
CREATE INDEX void_by_target_entry ON void (target_entry);
CREATE TRIGGER void_no_update BEFORE UPDATE ON void BEGIN SELECT RAISE(ABORT, 'the logbook is append-only: void an entry instead'); END;
CREATE TRIGGER void_no_delete BEFORE DELETE ON void BEGIN SELECT RAISE(ABORT, 'the logbook is append-only: void an entry instead'); END;
CREATE TRIGGER void_no_replace BEFORE INSERT ON void WHEN EXISTS (SELECT 1 FROM void WHERE entry = NEW.entry AND n = NEW.n) BEGIN SELECT RAISE(ABORT, 'the logbook is append-only: void an entry instead'); END;
COMMIT;
