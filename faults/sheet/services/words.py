"""All that the script of a sheet says, in the reader's language."""

from django.utils.translation import gettext as _

from faults.readings.services.depth_words import WHY_NO_DEPTH


def sheet_words() -> dict[str, str]:
    """Return the script's words by name; `%s` stands where it puts something in."""
    return {
        **_about_sending(),
        **_about_forms(),
        **_about_changes(),
        "step_of": _("Step %(n)s of %(m)s"),
        "next": _("Next: %s"),
        "all_steps": _("All steps"),
        "authority": _(
            "The client allowed %(left)s more minutes of work: %(minutes)s for %(people)s here."
        ),
        "authority_left": _("%s of the minutes that the client allowed are left."),
        "authority_money": _("The client allowed up to %s before tax."),
        "authority_over": _(
            "Stop: what the client allowed is used up. Call the office before you go on."
        ),
        "cautions": _("Look out"),
        "kept_here": _("Recorded on this sheet"),
        "nothing_kept": _("Nothing is recorded yet."),
    }


def _about_changes() -> dict[str, str]:
    return {
        "changed": _("Changed since you last looked"),
        "renumbered": _("Stations have other numbers now"),
        "is_now": _("%(old)s is %(now)s now"),
        "was": _("%(now)s (it was: %(old)s)"),
        "is_new": _("New: %s"),
        "is_gone": _("No longer there: %s"),
        "of_title": _("Visit"),
        "of_place": _("Property"),
        "of_address": _("Address"),
        "of_day": _("Day"),
        "of_starts_at": _("Time of day"),
        "of_crew": _("Crew"),
        "of_held": _("Held up by"),
        "of_summary": _("Summary"),
        "of_notes": _("Notes"),
    }


def _about_sending() -> dict[str, str]:
    return {
        "online": _("Everything is sent."),
        "offline": _("No signal. What you record waits on this phone."),
        "no_signal": _("No signal."),
        "sending": _("Sending…"),
        "unsent_one": _("1 thing is not sent yet."),
        "unsent": _("%s things are not sent yet."),
        "send_now": _("Send now"),
        "not_kept": _("Not kept"),
        "not_kept_one": _("1 thing was not kept. Look at it."),
        "not_kept_many": _("%s things were not kept. Look at them."),
        "conflict": _("Somebody else wrote something else"),
        "mine": _("You: %s"),
        "theirs": _("Somebody else: %s"),
        "mine_holds": _("Mine holds"),
        "theirs_holds": _("Theirs holds"),
        "seen": _("I have seen this"),
        "mend": _("Mend it and send it again"),
        "signed_out": _("You are signed out. Sign in again: what you recorded waits here."),
        "sign_in": _("Sign in"),
        "old": _("Shown as of %s, from this phone."),
        "full": _("This phone has no room left. Send what waits before you record more."),
        "kept": _("Kept: %s"),
        "undo": _("Undo"),
        "undone": _("Taken back: %s. It stays in the list, struck out."),
        "struck": _("struck out"),
        "waiting": _("waits"),
        "wrong_clock": _("The clock of this phone was wrong when this was recorded."),
        "which_day": _("On which day was it?"),
        "keep_day": _("Send it for this day"),
        "throw_away": _("Throw it away"),
        "stumbled": _("The service could not take this in. Write it down, and call the office."),
        "sent": _("sent"),
    }


def _about_forms() -> dict[str, str]:
    return {
        "needed": _("%s: this is needed."),
        "not_a_number": _("%s: enter a number, such as 12.5."),
        "likeliest": _("likeliest by the search"),
        "other_legs": _("other legs"),
        "no_leg": _("none: not the wire, or not on the map"),
        "photo_taken": _("The photo that was taken"),
        "no_photo": _("This file is no picture that can be read."),
        "position": _("Take the phone's position"),
        "position_taken": _("Position taken, good to %s."),
        "position_failed": _("No position: %s"),
        "position_wait": _("Waiting for a position…"),
        "depth_help": _("Depth from both sides"),
        "left": _("Left of the line"),
        "right": _("Right of the line"),
        "height": _("Antenna above ground"),
        "depth_is": _("About %(depth)s, nine times in ten between %(low)s and %(high)s."),
        "use_depth": _("Use this depth"),
        "timer_set": _("new batteries today"),
        **{f"depth_{why.name.lower()}": str(words) for why, words in WHY_NO_DEPTH.items()},
    }


def kinds_in_words() -> dict[str, str]:
    """Return what each kind of thing is called, in the reader's language."""
    return {
        "start": _("visit started"),
        "finish": _("visit finished"),
        "people": _("who was there"),
        "hold": _("visit held"),
        "release": _("visit goes on"),
        "vehicle": _("on the vehicle"),
        "soil": _("depth of the rod"),
        "safety": _("before the hole is dug"),
        "looked": _("list ticked"),
        "photo": _("photo"),
        "reading": _("reading"),
        "void": _("reading taken back"),
        "walk": _("station seen"),
        "battery": _("batteries changed"),
        "left": _("left out"),
        "left back": _("not left after all"),
        "report": _("fault reported"),
        "home": _("on to the proof"),
        "found": _("break found"),
        "found back": _("break taken back"),
        "outside": _("found, not the wire"),
        "digs": _("who digs"),
        "mended": _("mended"),
        "proven": _("proven"),
        "returned": _("returned"),
        "still dead": _("still dead"),
        "search": _("search started"),
        "search test": _("test"),
        "search void": _("test taken back"),
        "search end": _("search given up"),
    }
