"""What each event of this app sets off in other rooms, in order: the whole list."""

from faults.due.services.by_hand import finish_chasing, note_what_a_client_said
from faults.due.services.to_clients import mail_a_quote
from faults.events import BreakTakenBack, ClientSaid, Follows, QuoteMailed, QuoteSent, StageMoved
from faults.locating.services.doing import go_on_with_searches_of
from faults.locating.services.ending import end_searches_of
from faults.locating.services.minutes import answer_search_time

FOLLOWS: Follows = {
    # A search ends when its fault is found, given up or withdrawn.
    StageMoved: (end_searches_of,),
    # A search that ended with a break which was never there goes on.
    BreakTakenBack: (go_on_with_searches_of,),
    # A question, or something else that does not run, is due today.
    ClientSaid: (note_what_a_client_said,),
    # Who was to be asked again is asked again.
    QuoteSent: (finish_chasing,),
    # The address of a quote goes out by mail.
    QuoteMailed: (mail_a_quote,),
}

# Who tells rooms below the search how long one takes.
ANSWER = answer_search_time
