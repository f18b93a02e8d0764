"""The one error a user may meet: it says what is wrong, where, and what to do."""


class UserError(Exception):
    """A user's mistake, told in one clear line. Commands exit with 2, pages answer 4xx; never a traceback.

    Raise it with a `Message`: what was found, where (file, row, column), what is allowed, the next step.
    """

    def __str__(self) -> str:
        return str(self.args[0]) if self.args else ""


class NotThereError(UserError):
    """What was asked for is not there, or is no more. Pages answer 404."""


class NotNowError(UserError):
    """Nothing was done and nothing is wrong with what was asked: the same again in a moment may work. Pages answer 503."""


class NoRoomError(UserError):
    """Nothing was saved because a disk is full. Pages answer 507."""
