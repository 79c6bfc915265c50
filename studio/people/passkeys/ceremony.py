"""What a device is asked for, and whether what it answers is true (W3C Web Authentication Level 3, 7.1 and 7.2)."""

import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from webauthn import (
    base64url_to_bytes,
    generate_authentication_options,
    generate_registration_options,
    verify_authentication_response,
    verify_registration_response,
)
from webauthn.helpers import (
    bytes_to_base64url,
    parse_authentication_credential_json,
    parse_registration_credential_json,
)
from webauthn.helpers.options_to_json_dict import options_to_json_dict
from webauthn.helpers.structs import (
    AuthenticationCredential,
    AuthenticatorSelectionCriteria,
    AuthenticatorTransport,
    PublicKeyCredentialDescriptor,
    ResidentKeyRequirement,
    UserVerificationRequirement,
)

from studio.people.passkeys.place import Place

# As long as the recommendation has it where a finger, a face or a PIN is asked for: 15.1 of Level 3 [s].
ANSWERED_WITHIN_S = 300
HANDLE_BYTES = 64


class NotTrue(Exception):
    """What a device, or whoever plays one, answered does not hold."""


@dataclass(frozen=True, slots=True)
class Known:
    """A passkey that is kept already; the fields are those of the table."""

    credential_id: str
    transports: Sequence[str] = ()
    public_key: bytes = b""
    sign_count: int = 0
    person_handle: str = ""


def new_handle() -> str:
    """What a device shall tell a person by; it says nothing about them."""
    return bytes_to_base64url(secrets.token_bytes(HANDLE_BYTES))


def what_to_make(
    place: Place,
    challenge: str,
    *,
    studio: str,
    username: str,
    name: str,
    handle: str,
    known: Sequence[Known],
) -> dict[str, Any]:
    """What a browser needs to make a passkey: kept on the device, behind finger, face or PIN, none made twice."""
    options = generate_registration_options(
        rp_id=place.site,
        rp_name=studio,
        user_id=base64url_to_bytes(handle),
        user_name=username,
        user_display_name=name,
        challenge=base64url_to_bytes(challenge),
        timeout=ANSWERED_WITHIN_S * 1000,
        authenticator_selection=AuthenticatorSelectionCriteria(
            resident_key=ResidentKeyRequirement.REQUIRED,
            user_verification=UserVerificationRequirement.REQUIRED,
        ),
        exclude_credentials=[_named(one) for one in known],
    )
    return options_to_json_dict(options)


def _named(known: Known) -> PublicKeyCredentialDescriptor:
    ways = [AuthenticatorTransport(one) for one in known.transports]
    return PublicKeyCredentialDescriptor(base64url_to_bytes(known.credential_id), transports=ways or None)


def made(answer: str, place: Place, challenge: str) -> Known:
    """The passkey a device says it made; who its person is it does not say. Raises NotTrue."""
    try:
        credential = parse_registration_credential_json(answer)
        verified = verify_registration_response(
            credential=credential,
            expected_challenge=base64url_to_bytes(challenge),
            expected_rp_id=place.site,
            expected_origin=place.origin,
            require_user_verification=True,
        )
    # Bytes that anybody may have written go through several parsers: whatever one stumbles over, it is no answer.
    except Exception as wrong:
        raise NotTrue(str(wrong)) from wrong
    return Known(
        credential_id=bytes_to_base64url(verified.credential_id),
        transports=[one.value for one in credential.response.transports or ()],
        public_key=verified.credential_public_key,
        sign_count=verified.sign_count,
    )


def what_to_sign(place: Place, challenge: str) -> dict[str, Any]:
    """What a browser needs to ask for any passkey of this place; which one, and so who, the device says."""
    options = generate_authentication_options(
        rp_id=place.site,
        challenge=base64url_to_bytes(challenge),
        timeout=ANSWERED_WITHIN_S * 1000,
        user_verification=UserVerificationRequirement.REQUIRED,
    )
    return options_to_json_dict(options)


@dataclass(frozen=True, slots=True)
class Signed:
    """What a device signed, read but not yet believed."""

    credential: AuthenticationCredential

    @property
    def credential_id(self) -> str:
        """Which passkey it says it is."""
        return bytes_to_base64url(self.credential.raw_id)

    def believed(self, known: Known, place: Place, challenge: str) -> int:
        """How often the device has signed by now, if it is that passkey and signed this very question here.

        Raises
        ------
        NotTrue : another challenge, place or person, no finger, face or PIN, a signature of another key, or a count
            that did not go up, as when a key was copied
        """
        try:
            if self.credential.response.user_handle != base64url_to_bytes(known.person_handle):
                raise ValueError("of another person")
            verified = verify_authentication_response(
                credential=self.credential,
                expected_challenge=base64url_to_bytes(challenge),
                expected_rp_id=place.site,
                expected_origin=place.origin,
                credential_public_key=known.public_key,
                credential_current_sign_count=known.sign_count,
                require_user_verification=True,
            )
        except Exception as wrong:  # as above
            raise NotTrue(str(wrong)) from wrong
        return verified.new_sign_count


def signed(answer: str) -> Signed:
    """What a device answered to be let in. Raises NotTrue where it can't be read."""
    try:
        return Signed(parse_authentication_credential_json(answer))
    except Exception as wrong:  # as above
        raise NotTrue(str(wrong)) from wrong
