"""Why a station is off central control, read from the words that people write in lists.

The words of an office list are free: "gopher got it", "coil bad", "cable cortado". A word
decides by what it names. Where two are named, the more telling one wins: "cut at the valve"
is a wire, "solenoid short" is a valve, "clock output open" is a controller.
"""

import re
import unicodedata

from sites.stopgaps.engines.spells import Reason

# Whole words, and stems that end in "*". Grouped by how much they tell, most telling first.
_TELLING: tuple[tuple[Reason, str], ...] = (
    (
        Reason.CLIENT,
        "choice request* asked wish* prefer* wants decision decid* solicit* prefier*",
    ),
    (Reason.LINK_LOST, "link radio* modem* comms communicat* offline signal enlace senal gateway"),
    (
        Reason.WIRE,
        "wire* wiring cable* conductor* splic* cut cuts cutted sever* nick nicks nicked rodent* "
        "gopher* mouse mice mole* rat rats squirrel* rabbit* chew* gnaw* shovel* spade* dig "
        "digging dug trench* root roots rock rocks stone stones common leak* earth empalme* "
        "cortad* corte roedor* rata ratas topo topos pala palas raiz raices roca rocas piedra* "
        "zanja* alambre* comun",
    ),
    (
        Reason.VALVE,
        "valve* solenoid* coil* diaphragm* bonnet* plunger* actuator* valvula* bobina* diafragma*",
    ),
    (
        Reason.CONTROLLER,
        "controller* clock* output* module* board* transformer* terminal* timer* fuse* "
        "controlador* reloj* modulo* salida* tarjeta* transformador* fusible*",
    ),
    (Reason.WIRE, "open short shorts shorted ground grounded abierto corto"),
    (Reason.CLIENT, "client* customer* owner* tenant* cliente* dueno*"),
)

_WORD = re.compile(r"[a-z]+")


def read_reason(text: str) -> Reason | None:
    """Return the reason that the words name, or None where they name none."""
    plain = _plain(text)
    for reason in Reason:
        if plain == _plain(reason.value):
            return reason
    words = _WORD.findall(plain)
    for reason, names in _TELLING:
        if any(_is_named(word, names) for word in words):
            return reason
    return None


def _plain(text: str) -> str:
    """Lower case without accents: offices type both."""
    apart = unicodedata.normalize("NFKD", text.casefold())
    return " ".join("".join(mark for mark in apart if not unicodedata.combining(mark)).split())


def _is_named(word: str, names: str) -> bool:
    return any(
        word.startswith(name[:-1]) if name.endswith("*") else word == name for name in names.split()
    )
