"""How letters leave this installation, as its settings say."""

from monitor.clock import Clock
from monitor.domain.notices import Channel
from monitor.notify import Carrier
from monitor.notify.mail import Mail, MailServer, Security
from monitor.notify.outward import Outward
from monitor.notify.webhook import Webhook
from monitor.services.notices.letters import Letterhead
from monitor.services.notices.recipients import SECRET_FILE
from monitor.services.notices.sending import Post
from monitor.services.secret import own_secret
from monitor.settings import Settings


def post_of(settings: Settings, clock: Clock) -> Post:
    """The carriers that are set up, and what every letter bears."""
    carriers: dict[Channel, Carrier] = {}
    if settings.smtp_host:
        carriers[Channel.EMAIL] = Mail(mail_server(settings))
    if settings.webhook_secret:
        carriers[Channel.WEBHOOK] = Webhook(
            outward(settings), settings.webhook_secret, clock.now
        )
    secret = own_secret(settings.data_folder, SECRET_FILE)
    host = settings.smtp_from.rpartition("@")[2] or "underprop.invalid"
    head = Letterhead(settings.pages_url, secret, host)
    return Post(carriers, head, settings.notice_fallback)


def mail_server(settings: Settings) -> MailServer:
    """Where mail is handed in."""
    return MailServer(
        settings.smtp_host,
        settings.smtp_port,
        Security(settings.smtp_security),
        settings.smtp_from,
        settings.smtp_user,
        settings.smtp_password,
        settings.smtp_timeout_s,
    )


def outward(settings: Settings) -> Outward:
    """How requests go out to addresses that somebody typed in."""
    named = (host.strip().lower() for host in settings.webhook_hosts.split(","))
    return Outward(frozenset(host for host in named if host))
