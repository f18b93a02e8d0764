BEGIN TRANSACTION;
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0002');
CREATE TABLE aside (
	id INTEGER NOT NULL, 
	import_id INTEGER NOT NULL, 
	sheet VARCHAR(300), 
	"row" INTEGER, 
	col INTEGER, 
	why TEXT NOT NULL, 
	text TEXT NOT NULL, 
	PRIMARY KEY (id), 
	FOREIGN KEY(import_id) REFERENCES import (id)
);
CREATE TABLE ball (
	id INTEGER NOT NULL, 
	import_id INTEGER NOT NULL, 
	client_key VARCHAR(64), 
	slot VARCHAR(450) NOT NULL, 
	place VARCHAR(400) NOT NULL, 
	rank FLOAT NOT NULL, 
	body TEXT NOT NULL, 
	PRIMARY KEY (id), 
	CONSTRAINT uq_ball_import_slot UNIQUE (import_id, slot), 
	FOREIGN KEY(import_id) REFERENCES import (id), 
	UNIQUE (client_key)
);
INSERT INTO "ball" VALUES(1,1,'fixture-000','key:fixture-000','[null, null, "fixture-000"]',1.0,'{"number": 0, "club": "54", "swing": "waist", "distance_m": 37.4904, "measured_as": "rest", "measured_by": "laser"}');
INSERT INTO "ball" VALUES(2,1,'fixture-001','key:fixture-001','[null, null, "fixture-001"]',2.0,'{"number": 0, "club": "54", "swing": "waist", "distance_m": 39.3192, "measured_as": "rest", "measured_by": "laser"}');
INSERT INTO "ball" VALUES(3,1,'fixture-002','key:fixture-002','[null, null, "fixture-002"]',3.0,'{"number": 0, "club": "54", "swing": "waist", "distance_m": 38.4048, "measured_as": "rest", "measured_by": "laser"}');
INSERT INTO "ball" VALUES(4,1,'fixture-003','key:fixture-003','[null, null, "fixture-003"]',4.0,'{"number": 0, "club": "54", "swing": "waist", "distance_m": 37.0332, "measured_as": "rest", "measured_by": "laser"}');
INSERT INTO "ball" VALUES(5,1,'fixture-004','key:fixture-004','[null, null, "fixture-004"]',5.0,'{"number": 0, "club": "54", "swing": "waist", "distance_m": 27.432, "measured_as": "rest", "measured_by": "laser"}');
INSERT INTO "ball" VALUES(6,1,'fixture-005','key:fixture-005','[null, null, "fixture-005"]',6.0,'{"number": 0, "club": "54", "swing": "chest", "distance_m": 47.5488, "measured_as": "rest", "measured_by": "laser"}');
INSERT INTO "ball" VALUES(7,1,'fixture-006','key:fixture-006','[null, null, "fixture-006"]',7.0,'{"number": 0, "club": "54", "swing": "chest", "distance_m": 49.3776, "measured_as": "rest", "measured_by": "laser"}');
INSERT INTO "ball" VALUES(8,1,'fixture-007','key:fixture-007','[null, null, "fixture-007"]',8.0,'{"number": 0, "club": "54", "swing": "chest", "distance_m": 48.4632, "measured_as": "rest", "measured_by": "laser"}');
CREATE TABLE clip (
	id INTEGER NOT NULL, 
	session_id INTEGER, 
	name VARCHAR(300) NOT NULL, 
	suffix VARCHAR(8) NOT NULL, 
	size INTEGER NOT NULL, 
	received INTEGER NOT NULL, 
	state VARCHAR(10) NOT NULL, 
	progress FLOAT NOT NULL, 
	felt VARCHAR(200), 
	answer TEXT, 
	error TEXT, 
	marks TEXT, 
	made_at DATETIME NOT NULL, 
	PRIMARY KEY (id), 
	FOREIGN KEY(session_id) REFERENCES session (id)
);
CREATE TABLE club (
	id INTEGER NOT NULL, 
	player_id INTEGER NOT NULL, 
	place INTEGER NOT NULL, 
	label VARCHAR(100) NOT NULL, 
	loft_deg FLOAT, 
	full_carry_m FLOAT, 
	PRIMARY KEY (id), 
	CONSTRAINT uq_club_player_label UNIQUE (player_id, label), 
	FOREIGN KEY(player_id) REFERENCES player (id)
);
INSERT INTO "club" VALUES(1,1,0,'50',50.0,NULL);
INSERT INTO "club" VALUES(2,1,1,'54',54.0,NULL);
CREATE TABLE consent (
	id INTEGER NOT NULL, 
	player_key VARCHAR(300) NOT NULL, 
	by_whom VARCHAR(300) NOT NULL, 
	given_at DATETIME NOT NULL, 
	PRIMARY KEY (id), 
	UNIQUE (player_key)
);
CREATE TABLE edit (
	id INTEGER NOT NULL, 
	ball_id INTEGER NOT NULL, 
	body TEXT, 
	left_out_why TEXT, 
	made_at DATETIME NOT NULL, 
	undone_at DATETIME, 
	PRIMARY KEY (id), 
	FOREIGN KEY(ball_id) REFERENCES ball (id)
);
INSERT INTO "edit" VALUES(1,5,NULL,'fat','2026-11-25 23:34:00.935041',NULL);
CREATE TABLE import (
	id INTEGER NOT NULL, 
	session_id INTEGER NOT NULL, 
	family INTEGER NOT NULL, 
	name VARCHAR(300) NOT NULL, 
	sha256 VARCHAR(64) NOT NULL, 
	head VARCHAR(64), 
	content BLOB, 
	options TEXT NOT NULL, 
	"plan" TEXT NOT NULL, 
	layout TEXT NOT NULL, 
	made_at DATETIME NOT NULL, 
	undone_at DATETIME, 
	PRIMARY KEY (id), 
	FOREIGN KEY(session_id) REFERENCES session (id)
);
INSERT INTO "import" VALUES(1,1,1,'typed ball by ball','',NULL,NULL,'{}','[]','{"[null, null, \"fixture-000\"]": "key:fixture-000", "[null, null, \"fixture-001\"]": "key:fixture-001", "[null, null, \"fixture-002\"]": "key:fixture-002", "[null, null, \"fixture-003\"]": "key:fixture-003", "[null, null, \"fixture-004\"]": "key:fixture-004", "[null, null, \"fixture-005\"]": "key:fixture-005", "[null, null, \"fixture-006\"]": "key:fixture-006", "[null, null, \"fixture-007\"]": "key:fixture-007"}','2026-11-25 23:34:00.895534',NULL);
CREATE TABLE player (
	id INTEGER NOT NULL, 
	name VARCHAR(300) NOT NULL, 
	name_key VARCHAR(300) NOT NULL, 
	made_at DATETIME NOT NULL, 
	PRIMARY KEY (id), 
	UNIQUE (name_key)
);
INSERT INTO "player" VALUES(1,'Ida Fern','ida fern','2026-11-25 23:34:00.882011');
CREATE TABLE session (
	id INTEGER NOT NULL, 
	player_id INTEGER, 
	title VARCHAR(300) NOT NULL, 
	unit VARCHAR(2) NOT NULL, 
	ground VARCHAR(10) NOT NULL, 
	held_on DATE, 
	where_held VARCHAR(300), 
	ball_kind VARCHAR(100), 
	temp_c FLOAT, 
	altitude_m FLOAT, 
	humidity_pct FLOAT, 
	pressure_hpa FLOAT, 
	wind_mps FLOAT, 
	wind_from_deg FLOAT, 
	made_at DATETIME NOT NULL, 
	PRIMARY KEY (id), 
	FOREIGN KEY(player_id) REFERENCES player (id)
);
INSERT INTO "session" VALUES(1,1,'bucket','yd','normal',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,'2026-11-25 23:34:00.893587');
CREATE TABLE shape (
	"key" VARCHAR(64) NOT NULL, 
	options TEXT NOT NULL, 
	used_at DATETIME NOT NULL, 
	PRIMARY KEY ("key")
);
CREATE INDEX ix_session_player_id ON session (player_id);
CREATE INDEX ix_import_name ON import (name);
CREATE INDEX ix_import_head ON import (head);
CREATE INDEX ix_import_family ON import (family);
CREATE INDEX ix_import_session_id ON import (session_id);
CREATE INDEX ix_import_sha256 ON import (sha256);
CREATE INDEX ix_edit_ball ON edit (ball_id, id);
CREATE INDEX ix_aside_import_id ON aside (import_id);
CREATE INDEX ix_clip_session_id ON clip (session_id);
COMMIT;
