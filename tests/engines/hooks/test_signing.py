"""The sign over a moment and a body. The golden value was made by `openssl dgst -sha256 -hmac`."""

from reports.hooks.engines.signing import signature

GOLDEN = "v1=af3fccd48ae8c04d014a2bacfc404a939e897f800e84cef433cc9e96bc00c676"


def test_it_is_an_hmac_with_sha_256_in_hex() -> None:
    # printf '1700000000.{"id": 1}' | openssl dgst -sha256 -hmac key
    assert signature("key", moment="1700000000", body=b'{"id": 1}') == GOLDEN


def test_each_part_counts() -> None:
    made = {
        signature("key", moment="1700000000", body=b"{}"),
        signature("kez", moment="1700000000", body=b"{}"),
        signature("key", moment="1700000001", body=b"{}"),
        signature("key", moment="1700000000", body=b"[]"),
    }
    assert len(made) == 4
