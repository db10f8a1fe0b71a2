"""Every page that can be opened without naming a thing first: one declaration.

From it come the head, the line below it, the bar at the foot of a phone, the list of all pages and
what the command search offers. A page that has no place here cannot be found, so a test walks the
addresses. Who may open a page is not said again: its view asks for an action
(`sites.kernel.access.page_for`), and `sites.kernel.services.wayfinding` reads that.
"""

from dataclasses import dataclass
from enum import StrEnum

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from sites.kernel.engines.roles import Role


class Group(StrEnum):
    """What people come for. The first six stand in the head, in this order."""

    OFF_CENTRAL = "off central"
    PROPERTIES = "properties"
    FAULTS = "faults"
    WORK = "work"
    HOTSPOTS = "hotspots"
    SET_UP = "set up"
    YOURS = "yours"


GROUP_WORDS: dict[Group, Promise] = {
    Group.OFF_CENTRAL: _("Off central"),
    Group.PROPERTIES: _("Properties"),
    Group.FAULTS: _("Faults"),
    Group.WORK: _("Work"),
    Group.HOTSPOTS: _("Hotspots"),
    Group.SET_UP: _("Load and set up"),
    Group.YOURS: _("Your own"),
}
IN_HEAD = tuple(group for group in Group if group is not Group.YOURS)


@dataclass(frozen=True)
class Page:
    """A page, or with `is_verb` a form that does something.

    `words` are those by which people may look for it besides its title. `below` are beginnings of
    addresses that belong to it though they do not begin with its own. `within` names the page that
    leads to it: in the line below the head that page stands for both, so that the line stays one.
    """

    name: str
    title: Promise
    group: Group
    words: Promise | str = ""
    is_verb: bool = False
    # Its verb is about all properties, so a role on one client's does not open it.
    for_all_properties: bool = False
    below: tuple[str, ...] = ()
    within: str = ""


@dataclass(frozen=True)
class PageOfProperty:
    """A page or form of one property; its address takes the property's reference."""

    name: str
    title: Promise
    words: Promise | str = ""
    is_verb: bool = True


_OFF, _SITES, _FAULTS, _WORK, _HOT, _SET_UP, _YOURS = Group

PAGES: tuple[Page, ...] = (
    Page("reports:home", _("Off central"), _OFF, _("home reasons trend oldest list today")),
    Page("reports:mine", _("Your properties"), _OFF, _("home overview")),
    Page("reports:water", _("What it costs"), _OFF, _("water excess gallons money meter season")),
    Page("reports:water_missing", _("What is missing"), _OFF,
         _("not known areas flow plant factor schedules gaps")),
    Page("reports:return_first", _("Return first"), _OFF,
         _("which first crew hours worth set best choose rank"), below=("first/",)),
    Page("reports:ahead", _("When all will be back"), _OFF,
         _("forecast ahead months band one more crew backlog future"), below=("ahead/",)),
    Page("reports:goals", _("Goals"), _OFF, _("target share percent off central by when path"),
         below=("goals/",)),
    Page("reports:goal_add", _("Set a goal"), _OFF, _("new target share"), is_verb=True),
    Page("reports:lasting", _("How long stopgaps last"), _OFF,
         _("survival curve median days months half over cause crew"), below=("lasting/",)),
    Page("sites:stopgaps", _("Stopgaps"), _OFF,
         _("battery timers by hand shut off held open fitted"), below=("devices/",)),
    Page("faults:homes", _("Home without a dig"), _OFF, _("bring home test sound wire return"),
         below=("home-without-a-dig/",)),
    Page("sites:properties", _("Properties"), _SITES, _("sites places clients addresses contacts"),
         below=("points/", "legs/", "wires/", "photos/")),
    Page("sites:controllers", _("Controllers"), _SITES, _("clocks link central register")),
    Page("sites:stations", _("Stations"), _SITES, _("valves zones register")),
    Page("reports:reports", _("Reports"), _SITES,
         _("issued pdf letter client period drafts series owner quarter"), below=("reports/",)),
    Page("reports:report_ask", _("Put a report together"), _SITES,
         _("new report pdf period client"), is_verb=True),
    Page("reports:series_add", _("Set up a series of reports"), _SITES,
         _("each month quarter rule mail"), is_verb=True),
    Page("sites:retired_properties", _("Retired properties"), _SITES, _("no longer in care past")),
    Page("sites:property_add", _("Add a property"), _SITES, _("new site register"), is_verb=True,
         for_all_properties=True),
    Page("faults:faults", _("Faults"), _FAULTS, _("open broken wires cases stages"),
         below=("breaks/", "fault-photos/", "readings/", "questions/", "quotes/")),
    Page("faults:searches", _("Searches"), _FAULTS, _("locate tracing likelihood tests"),
         below=("search-readings/",)),
    Page("faults:search_numbers", _("Numbers that searches assume"), _FAULTS,
         _("minutes walking costs settings of searches")),
    Page("faults:report", _("Report a fault"), _FAULTS, _("dead station new trouble"),
         is_verb=True),
    Page("faults:moves", _("Moves"), _WORK, _("whose move it is waits on stuck")),
    Page("faults:board", _("Crews and days"), _WORK, _("board week calendar rota who goes when")),
    Page("faults:sheets", _("Job sheets"), _WORK, _("phone visits my crew today"),
         below=("sheet/",)),
    Page("faults:due", _("Due"), _WORK, _("overdue today coming follow ups reminders batteries"),
         below=("calendar/",)),
    Page("faults:jobs", _("Jobs"), _WORK, _("visits planned done dig return walk"),
         below=("job-photos/", "left-out/")),
    Page("faults:promises", _("Promises"), _WORK,
         _("promised day kept share slips clients told"), below=("promises/",)),
    Page("faults:rounds", _("Rounds"), _WORK,
         _("start-up shut-down walk check-up batteries season interval planned repeats")),
    Page("faults:round_dates", _("Dates of rounds"), _WORK,
         _("client list what comes done left print season"), within="faults:rounds"),
    Page("faults:job_lines", _("Lines of jobs"), _WORK, _("materials minutes costs invoice"),
         within="faults:unbilled"),
    Page("faults:unbilled", _("Finished and unbilled"), _WORK,
         _("bill invoice books give lines batch money"),
         below=("people-there/",)),
    Page("faults:batches", _("Batches"), _WORK,
         _("given to the books bill invoice taken back csv json"), below=("books/batches/",),
         within="faults:unbilled"),
    Page("faults:earnings", _("What it earned"), _WORK,
         _("quoted spent billed profit lost hours money client cause"),
         within="faults:unbilled"),
    Page("faults:claims", _("Damage by others"), _WORK,
         _("third party liable claim number statement paid unpaid"), below=("damage/",),
         within="faults:unbilled"),
    Page("faults:notices", _("Notices"), _WORK, _("tickets utilities marked digging permit")),
    Page("faults:job_add", _("Plan a job"), _WORK, _("new visit dig check-up battery round"),
         is_verb=True),
    Page("faults:round_add", _("Make a round"), _WORK, _("new round season start-up shut-down"),
         is_verb=True),
    Page("faults:priorities", _("Priorities"), _WORK, _("urgent proposed waiting take over"),
         within="faults:board"),
    Page("faults:rota_suggest", _("Suggest a rota"), _WORK, _("best plan for crews routes"),
         is_verb=True),
    Page("reports:hotspots", _("Hotspots"), _HOT, _("legs that keep failing repair replace renew")),
    Page("reports:hotspot_cause", _("By cause"), _HOT, _("rodents shovels roots rocks seasons")),
    Page("reports:renew_first", _("Renew first"), _HOT,
         _("which legs budget replace season money pays payback")),
    Page("reports:renew_costs_keep", _("Keep what renewing costs"), _HOT,
         _("price per foot paving once kept per property"), is_verb=True),
    Page("reports:decisions", _("Decisions"), _HOT, _("decided legs renew not now look again"),
         below=("decisions/",)),
    Page("faults:load", _("Load"), _SET_UP, _("import upload file spreadsheet excel csv")),
    Page("faults:load_guide", _("What a register file may hold"), _SET_UP,
         _("columns headings templates guide import"), within="faults:load"),
    Page("reports:first_hour", _("What to do next"), _SET_UP,
         _("first steps batteries schedules climate prices crews missing")),
    Page("sites:reconcile", _("Reconcile with central"), _SET_UP,
         _("compare list of the central system differences")),
    Page("reports:export", _("Export the register"), _SET_UP,
         _("download files excel csv backup summary")),
    Page("faults:job_kinds", _("Kinds of job"), _SET_UP, _("minutes skill gear people ground")),
    Page("faults:crews", _("Crews"), _SET_UP, _("technicians vehicles skills away"),
         below=("crew-members/", "crew-away/", "person-away/")),
    Page("faults:prices", _("Prices"), _SET_UP, _("rates price list tracing digging tax quote"),
         below=("price-lists/",)),
    Page("faults:prices_company", _("What the company charges"), _SET_UP, _("change price list"),
         is_verb=True, for_all_properties=True),
    Page("sites:people", _("People"), _SET_UP, _("users roles access invitations accounts"),
         below=("grants/",)),
    Page("sites:roles", _("What each role may do"), _SET_UP, _("permissions rights people"),
         within="sites:people"),
    Page("sites:audit", _("Log of what matters"), _SET_UP,
         _("audit sign-ins failed roles exports who did what"), for_all_properties=True,
         within="sites:people"),
    Page("sites:roles_need_factor", _("Second factor by role"), _SET_UP,
         _("two factor code phone security people"), is_verb=True, for_all_properties=True),
    Page("sites:person_invite", _("Invite a person"), _SET_UP, _("new user account role"),
         is_verb=True),
    Page("faults:notice_rules", _("Notice rules"), _SET_UP, _("regions waiting days one-call"),
         below=("closed-days/",)),
    Page("faults:follow_up_rules", _("Rules of what falls due"), _SET_UP,
         _("reminders days limits batteries")),
    Page("sites:climate", _("Climate tables"), _SET_UP,
         _("evapotranspiration rain months weather")),
    Page("faults:health", _("Health"), _SET_UP, _("service rounds mail late cron")),
    Page("faults:crew_add", _("Add a crew"), _SET_UP, _("new technicians vehicle"), is_verb=True),
    Page("faults:notice_rule_add", _("Add a notice rule"), _SET_UP, _("new region one-call"),
         is_verb=True),
    Page("faults:closed_days_add", _("Add closed days"), _SET_UP, _("holidays of a centre"),
         is_verb=True),
    Page("sites:climate_add", _("Add a climate table"), _SET_UP, _("new months need rain"),
         is_verb=True, for_all_properties=True),
    Page("sites:climate_weather", _("Work out a climate table from weather"), _SET_UP,
         _("temperatures station file"), is_verb=True, for_all_properties=True),
    Page("sites:account", _("Your settings"), _YOURS, _("name language time zone e-mail account")),
    Page("faults:reminders", _("Calendar and daily mail"), _YOURS, _("feed subscribe reminders")),
    Page("sites:tokens", _("Tokens for programs"), _YOURS, _("api access key integration secret")),
    Page("sites:token_make", _("Make a token"), _YOURS, _("api program access"), is_verb=True),
    Page("reports:receivers", _("Programs that are told"), _YOURS,
         _("webhook notify push events integration")),
    Page("reports:receiver_set_up", _("Set up a program to be told"), _YOURS,
         _("webhook notify push events integration"), is_verb=True),
    Page("reports:programs", _("What programs can ask and send"), _YOURS,
         _("api openapi endpoints integration")),
    Page("sites:second_factor", _("Second factor"), _YOURS,
         _("two factor code phone security recovery")),
    Page("sites:passkeys", _("Passkeys"), _YOURS, _("second factor key device security fido")),
    Page("sites:sign_ins", _("Where you are signed in"), _YOURS,
         _("sessions devices sign out everywhere")),
    Page("sites:password_change", _("Change the password"), _YOURS, _("sign in security"),
         is_verb=True),
)  # fmt: skip

PAGES_OF_PROPERTY: tuple[PageOfProperty, ...] = (
    PageOfProperty("faults:report_on_property", _("Report a fault"), _("dead station new trouble")),
    PageOfProperty("sites:stopgap_fit", _("Fit a stopgap"), _("battery timer by hand shut off")),
    PageOfProperty("faults:job_add_on_property", _("Plan a job"), _("new visit dig check-up")),
    PageOfProperty("faults:notice_give_here", _("Give a notice"), _("ticket utilities digging")),
    PageOfProperty("faults:due_note_at_property", _("Note something to do"), _("reminder due")),
    PageOfProperty("faults:homes_read", _("Enter readings of a round"), _("bring home test ohms")),
    PageOfProperty("sites:controller_add", _("Add a controller"), _("new clock")),
    PageOfProperty("sites:point_add", _("Add a point"), _("new splice box valve box")),
    PageOfProperty("sites:leg_add", _("Add a leg"), _("new trench between boxes")),
    PageOfProperty("sites:wire_lay", _("Lay a wire"), _("new conductor hot common spare")),
    PageOfProperty("sites:property_edit", _("Change its facts"), _("address units soil name")),
    PageOfProperty("sites:property_tariff", _("Rates and prices"), _("tariff water money")),
    PageOfProperty("sites:property_authority", _("Standing authority"), _("limit hours money")),
    PageOfProperty("sites:property_warranty", _("Warranty"), _("months of ours")),
    PageOfProperty("sites:property_climate", _("Climate"), _("weather table need rain")),
    PageOfProperty("sites:property_access_hours", _("Access hours"), _("gate key open closed")),
    PageOfProperty("sites:property_retire", _("Retire the property"), _("end care leave")),
    PageOfProperty("reports:property_plan", _("Site plan"), _("map drawing"), is_verb=False),
    PageOfProperty("reports:property_water", _("What it costs here"), _("water excess"), False),
    PageOfProperty("sites:points", _("Points"), _("boxes valve box splice"), is_verb=False),
    PageOfProperty("sites:legs", _("Legs"), _("trench runs"), is_verb=False),
    PageOfProperty("sites:wires", _("Wires"), _("conductors spares"), is_verb=False),
    PageOfProperty(
        "sites:missing_facts",
        _("What is missing here"),
        _("areas flows plant factors schedules batteries sheet"),
    ),
    PageOfProperty("faults:property_prices", _("Prices"), _("rates quote"), is_verb=False),
    PageOfProperty("sites:property_contacts", _("Contacts"), _("people phone"), is_verb=False),
    PageOfProperty("sites:property_access", _("Access"), _("hours gate key"), is_verb=False),
    PageOfProperty("faults:homes_at", _("Home without a dig"), _("bring home test"), False),
    PageOfProperty("faults:soak", _("Soak the ground"), _("water before digging"), False),
    PageOfProperty("sites:property_retired", _("What is retired"), _("past"), is_verb=False),
)

# Whom each role's work starts at, and what a phone's bar holds; a fourth item there is the search.
FIRST: dict[Role, tuple[str, str, str]] = {
    Role.OWNER: ("reports:hotspots", "reports:home", "faults:moves"),
    Role.WATER_MANAGER: ("reports:home", "reports:water", "faults:due"),
    Role.DISPATCHER: ("faults:moves", "faults:board", "faults:due"),
    Role.TECHNICIAN: ("faults:sheets", "faults:due", "faults:faults"),
    Role.TRACER: ("faults:sheets", "faults:jobs", "faults:faults"),
    Role.CLIENT: ("reports:mine", "faults:faults", "faults:report"),
}
