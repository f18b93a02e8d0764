"""A message is said in the reader's language and units, and said again to another reader."""

from threequarter.golf.message import Message, from_json, to_json
from threequarter.language import NN_, Plural, say
from threequarter.language.localize import N_
from threequarter.language.measures import Units, measured_in
from threequarter.language.texts import TEXTS


def test_a_message_is_said_in_the_units_of_whoever_reads(monkeypatch) -> None:  # type: ignore[no-untyped-def]
    monkeypatch.setitem(
        TEXTS, "t.span", N_("{low_m:bare}-{high_m}, {share_share:1}, {wind_mps}, {lean_deg:+1}, {day_on}")
    )
    message = Message(
        "t.span", low_m=45.72, high_m=91.44, share_share=0.125, wind_mps=5, lean_deg=2.0, day_on="2026-04-18"
    )
    with measured_in(Units()):
        assert say(message) == "50-100 yd, 12.5 %, 5 m/s, +2.0°, 18 Apr 2026"
    with measured_in(Units(distance="m", speed="kmh")):
        assert say(message) == "46-91 m, 12.5 %, 18 km/h, +2.0°, 18 Apr 2026"


def test_a_number_decides_the_form(monkeypatch) -> None:  # type: ignore[no-untyped-def]
    monkeypatch.setitem(TEXTS, "t.balls", Plural(NN_("{balls} ball is back.", "{balls} balls are back."), by="balls"))
    assert [say(Message("t.balls", balls=n)) for n in (1, 2)] == ["1 ball is back.", "2 balls are back."]


def test_what_is_stored_is_the_message_with_those_within() -> None:
    message = Message("t.outer", why=Message("t.inner", low_m=3.0), clubs=("50", "54"))
    assert from_json(to_json(message)) == message


def test_an_old_sentence_is_shown_as_it_was() -> None:
    assert say("Carry is no number: abc") == "Carry is no number: abc"
