"""What broke, the search, the work, and what falls due."""

from importlib import import_module

from django.apps import AppConfig


class FaultsConfig(AppConfig):
    """The middle app: it knows the register below it."""

    name = "faults"

    def ready(self) -> None:
        """Let the register ask before it retires a station: it cannot see faults itself.

        Connect the signals that rebuild what stations wait on.
        """
        ask = import_module("sites.register.services.retire").ask_before_retiring
        ask(import_module("faults.cases.services.retiring").open_faults_on)
        back = import_module("faults.cases.services.break_back")
        back.ask_before_taking_back(import_module("faults.casework.services.built_on").built_on)
        events, follows = import_module("faults.events"), import_module("faults.follows")
        events.listen(follows.FOLLOWS)
        events.listen_to_questions(follows.ANSWER)
        waits = import_module("faults.waits.services.keeping_waits")
        waits.connect()
        declare = import_module("sites.kernel.services.derived").declare_derived
        declare(
            "waits",
            import_module("faults.waits.services.waits").rebuild_all_waits,
            kept=waits.waits_kept,
            after=("spells", "water"),
        )
