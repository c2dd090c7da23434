"""Every exception and warning of climlog. Imports nothing."""


class ClimlogError(Exception):
    """Any problem a person can mend: one line that says where, what was found, what fixes it."""


class UnusableInputError(ClimlogError):
    """A file that cannot be read as what it was given for."""


class ImpossibleValueError(ClimlogError):
    """A quantity outside what nature or geometry allows."""


class UnknownNameError(ClimlogError):
    """A wood, finish, fastening or key that the tables do not hold."""


class ExtrapolationWarning(UserWarning):
    """A value beyond the range that a published fit was made for."""
