"""What is raised when a case breaks the rules of its own form, or when a search must end."""


class CaseFault(ValueError):
    """A case that cannot be read as it stands.

    `path` is the JSON path of the first fault (`$.boat.devices[3].model`), `message` says what
    was expected there, in plain words.
    """

    def __init__(self, path: str, message: str) -> None:
        self.path = path
        self.message = message
        super().__init__(f"{path}: {message}")


class SearchStoppedError(Exception):
    """The caller's `should_stop` said that time is up. Never leaves the engine.

    `bound` is a weight, in the aim of the search, that nothing still unseen goes below.
    """

    def __init__(self, bound: int = 0) -> None:
        self.bound = bound
        super().__init__("the search was ended")
