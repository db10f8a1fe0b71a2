"""Addresses of people."""

from django.urls import path

from sites.kernel.views.verb_views import page
from sites.people.views import account, audit, doors, passkeys, people, saved_views, tokens

patterns = [
    path("start/", account.start, name="start"),
    path("account/", account.account, name="account"),
    path("account/sign-in/", account.sign_in, name="sign_in"),
    path("account/sign-in/code/", doors.sign_in_code, name="sign_in_code"),
    path("account/second-factor/", doors.second_factor, name="second_factor"),
    path("account/passkeys/", passkeys.passkeys, name="passkeys"),
    path("account/sign-ins/", doors.sign_ins, name="sign_ins"),
    path("account/sign-ins/end/", doors.sign_ins_end, name="sign_ins_end"),
    path("account/sign-out/", account.sign_out, name="sign_out"),
    path("account/password/", account.password_change, name="password_change"),
    path("account/password/changed/", account.password_changed, name="password_changed"),
    path("account/forgotten/", account.password_reset, name="password_reset"),
    path("account/forgotten/sent/", account.password_reset_sent, name="password_reset_sent"),
    path(
        "account/forgotten/<uidb64>/<token>/",
        account.password_reset_confirm,
        name="password_reset_confirm",
    ),
    path("account/invited/<str:token>/", account.invited, name="invited"),
    path("account/tokens/", tokens.tokens, name="tokens"),
    path("account/tokens/make/", tokens.token_make, name="token_make"),
    page("account/tokens/<int:pk>/revoke/", tokens.TokenRevoke),
    path("people/", people.people, name="people"),
    path("people/roles/", people.roles, name="roles"),
    path("people/log/", audit.audit, name="audit"),
    page("people/second-factor/", audit.RolesNeedFactor),
    page("people/invite/", people.PersonInvite),
    path("people/<int:pk>/", people.person, name="person"),
    page("people/<int:pk>/invite-again/", people.PersonInviteAgain),
    page("people/<int:pk>/second-factor/", people.FactorReset),
    page("people/<int:pk>/sign-out/", people.PersonSignOut),
    page("people/<int:pk>/give/", people.RoleGive),
    page("people/<int:pk>/end/", people.AccessEnd),
    page("people/<int:pk>/let-in/", people.AccessBack),
    page("grants/<int:pk>/take/", people.RoleTake),
    path("views/keep/", saved_views.view_keep, name="view_keep"),
    path("views/forget/", saved_views.view_forget, name="view_forget"),
]
