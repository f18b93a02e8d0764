"""What the live page says by itself."""

from typing import Final

from threequarter.language.localize import N_, _

TEXTS: Final = {
    "loading": N_("The swing check is being loaded."),
    "watching": N_("Watching. Set up to the ball and swing."),
    "nobody": N_("No player in the picture. Step back until the whole body is in view."),
    "dark": N_("Too dark to measure. Turn to the light."),
    "stopped": N_("Stopped. Camera and microphone are off."),
    "practice": N_("Practice swing: no ball heard, so it is not saved."),
    "swing": N_("The microphone is off, so no ball is saved. Allow it, and balls are told from practice swings."),
    "lost": N_("The server cannot be reached. Nothing was saved; try again."),
    "no_secure": N_(
        "The browser gives no camera to this address. Open the page on the laptop itself, or by https:// on the phone."
    ),
    "no_camera": N_("No camera was found. Plug one in, or open this page on a phone."),
    "refused": N_("The browser blocks the camera. Allow it for this page in the settings, then start again."),
    "busy": N_("The camera is in use by another program. Close that one, then start again."),
    "old": N_("This browser cannot run the swing check. Use a newer one."),
    "failed": N_("The swing check did not start: {why}"),
    "no_microphone": N_("No microphone: swings are measured, but no ball is saved."),
    "ball": N_("Ball {n}"),
    "kept": N_("Ball {n} is saved with its swing."),
    "keeping": N_("Saving the clip."),
    "clip_kept": N_("The clip is saved with ball {n}. It is being measured."),
    "clip_kept_alone": N_("The clip is saved with the day. It is being measured."),
    "clip_back": N_("Undone. The clip stays in the bin for 30 days."),
    "clip_gone": N_("The pictures of this swing are gone. Save the next one."),
    "clip_name": N_("Live, ball {n}"),
    "clip_name_alone": N_("Live"),
    "arcs": N_("Lead arm: back {back}, through {through}"),
}


def live_texts() -> dict[str, str]:
    """The texts in the language in use."""
    return {name: _(text) for name, text in TEXTS.items()}
