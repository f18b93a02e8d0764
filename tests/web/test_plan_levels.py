"""What a swing length means for a player stands on the plan, with where it came from, and the swing check goes by it."""

from pathlib import Path

from starlette.testclient import TestClient

from threequarter.app.own_swings import own_levels
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
        assert f'<a href="/clips/{clip}">as posed on film on ' in plan
        assert "usual height, not filmed yet" in plan
        assert "lead arm 90° from hanging down" in plan
        assert own_levels(store, clips.clip(clip))["chest"] == 0.55
        clips.keep_marks(clip, {})
        assert "as posed on film" not in client.get("/players/Wren Sedge/about").text
