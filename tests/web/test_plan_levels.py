"""What a swing length means for a player stands on the plan, with where it came from, and the swing check goes by it."""

from html import unescape
from pathlib import Path

from starlette.testclient import TestClient
from tests.web.claims import STORES, walked

from threequarter.app.own_swings import own_lengths
from threequarter.store.clips.clips import Clips
from threequarter.store.people.plans import Plans, plan_named
from threequarter.store.store import Store
from threequarter.web.app import make_app

HOST = "127.0.0.1:8754"


def test_a_level_posed_on_film_stands_on_the_plan_with_its_day_and_goes_when_it_is_taken_back(tmp_path: Path) -> None:
    with (
        TestClient(make_app(tmp_path, frozenset({HOST})), base_url=f"http://{HOST}") as client,
        Store(tmp_path) as store,
    ):
        client.post("/bucket", data={"player": "Wren Sedge"}, follow_redirects=False)
        Plans(store).keep("Wren Sedge", plan_named(["54"], ["waist", "chest", "9:00"]))
        clips = Clips(store)
        clips.agree(1, "Wren Sedge")
        clip = clips.begin("poses.mp4", 1000, session_id=1)
        clips.keep_marks(clip, {"poses": {"chest": {"t_s": 1.5, "hand_height": 0.55}}})
        plan = client.get("/players/Wren Sedge/about").text
        assert f'href="/clips/{clip}">as posed in the clip of ' in plan
        assert "usual height, not filmed yet" in plan
        assert "lead arm 90° from hanging down" in plan
        assert own_lengths(store, clips.clip(clip)).heights["chest"] == 0.55
        clips.keep_marks(clip, {})
        assert "as posed in the clip" not in client.get("/players/Wren Sedge/about").text


def test_an_arm_told_in_degrees_goes_before_the_film_in_the_lesson_too_and_is_undone(tmp_path: Path) -> None:
    walk = walked(tmp_path)
    with walk.client as client:
        STORES["filmed"](walk)
        assert "meant waist, filmed the same" in walk.text("/sessions/1/lesson")
        told = {"swing": ["waist", ""], "swing_other": ["", ""], "club": "54", "planned": "0", "unit": "yd"}
        kept = client.post("/players/Nell Orchard/plan", data={**told, "swing_arm": ["75", ""]})
        assert "lead arm 75° from hanging down" in kept.text
        assert 'name="swing_arm" value="75"' in kept.text
        assert "meant waist, filmed lead arm at 51°: shorter than meant" in walk.text("/sessions/1/lesson")
        refused = client.post("/players/Nell Orchard/plan", data={**told, "swing_arm": ["400", ""]})
        assert refused.status_code == 400
        assert "0° hangs down, 90° is level with the ground" in unescape(refused.text)
        assert client.post("/players/Nell Orchard/plan", data={**told, "swing_arm": ["", ""]}).status_code == 200
        assert "meant waist, filmed the same" in walk.text("/sessions/1/lesson")


def test_a_pose_counts_in_the_lesson_and_on_the_clip_alike(tmp_path: Path) -> None:
    walk = walked(tmp_path)
    with walk.client, Store(tmp_path) as store:
        STORES["filmed"](walk)
        Clips(store).keep_marks(1, {"poses": {"waist": {"t_s": 1.5, "hand_height": -0.3}}})
        for page in ("/sessions/1/lesson", "/clips/1"):
            assert "back: chest" in walk.text(page), page  # its hands are as high as another's waist
