"""Settings of the service while people work with it: the product's own, with a sink for mails."""

from sites.project.settings import *  # noqa: F403

EMAIL_BACKEND = "tests.services_real.mail_sink.Sink"
