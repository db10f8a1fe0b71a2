"""Set up second factors, and make the codes that a phone would show."""

from datetime import datetime

import pyotp

from sites.models import User
from sites.people.services.second_factor import STEP_S, set_up

KEY = "JBSWY3DPEHPK3PXPJBSWY3DPEHPK3PXP"


def code_at(moment: datetime, *, key: str = KEY) -> str:
    """Return what the phone shows at a moment."""
    code: str = pyotp.TOTP(key).generate_otp(int(moment.timestamp()) // STEP_S)
    return code


def factor(user: User, *, at: datetime) -> list[str]:
    """Set up a second factor; return the recovery codes."""
    return set_up(user, key=KEY, code=code_at(at), at=at)
