"""A machine's own authority, judged by OpenSSL through Python's ssl."""

import socket
import ssl
from datetime import UTC, datetime, timedelta
from threading import Thread

import pytest
from cryptography import x509

from putback.errors import Damaged
from putback.workshop.people.authority import as_der, certified, fingerprint, names_in

NOW = datetime.now(UTC)
NAMES = ("192.168.1.20", "shed", "shed.local")


def shaken(made, name: str) -> str:
    """What a browser finds that trusts the authority and calls the machine by this name."""
    server = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    server.load_cert_chain(made.certificate, made.key)
    client = ssl.create_default_context(cafile=str(made.authority))
    ours, theirs = socket.socketpair()

    def serve():
        try:
            server.wrap_socket(ours, server_side=True).close()
        except (ssl.SSLError, OSError):
            ours.close()

    thread = Thread(target=serve)
    thread.start()
    try:
        with client.wrap_socket(theirs, server_hostname=name):
            return "trusted"
    except ssl.SSLCertVerificationError as error:
        return error.verify_message
    finally:
        theirs.close()
        thread.join()


@pytest.mark.parametrize("name", [*NAMES, "localhost", "127.0.0.1"])
def test_a_browser_that_trusts_the_authority_trusts_the_machine(tmp_path, name):
    """By each of its names; OpenSSL checks the chain and the name constraints."""
    assert shaken(certified(tmp_path, NAMES, "shed", NOW), name) == "trusted"


def test_it_is_trusted_by_no_other_name(tmp_path):
    """A name it was not made for is refused."""
    made = certified(tmp_path, NAMES, "shed", NOW)
    assert "mismatch" in shaken(made, "barn.local")


def test_the_authority_vouches_for_nothing_public(tmp_path):
    """Public names and addresses are left out; forced in by its key, OpenSSL refuses them."""
    made = certified(tmp_path, (*NAMES, "example.org", "203.0.113.7"), "shed", NOW)
    assert set(names_in(made.certificate)) == {*NAMES, "localhost", "127.0.0.1"}
    from putback.workshop.people import authority

    folder = tmp_path / "https"
    root = x509.load_pem_x509_certificate(made.authority.read_bytes())
    key = authority._key(folder / "authority-key.pem")
    authority._make_site(made.certificate, made.key, root, key, ["example.org"], NOW)
    assert shaken(made, "example.org") == "permitted subtree violation"


def test_the_authority_stays_and_the_certificate_is_kept_while_it_will_do(tmp_path):
    """Phones need not trust anew because the program was started anew."""
    first = certified(tmp_path, NAMES, "shed", NOW)
    before = (first.authority.read_bytes(), first.certificate.read_bytes())
    again = certified(tmp_path, NAMES[:2], "shed", NOW + timedelta(days=300))
    assert (again.authority.read_bytes(), again.certificate.read_bytes()) == before


@pytest.mark.parametrize(
    ("names", "days"), [(NAMES, 370), ((*NAMES, "192.168.7.7"), 0)], ids=["near its end", "moved"]
)
def test_the_certificate_is_renewed_when_it_must_be(tmp_path, names, days):
    """Near its end, or when the machine goes by another address; the authority stays."""
    first = certified(tmp_path, NAMES, "shed", NOW)
    before = (first.authority.read_bytes(), first.certificate.read_bytes())
    again = certified(tmp_path, names, "shed", NOW + timedelta(days=days))
    assert again.authority.read_bytes() == before[0]
    assert again.certificate.read_bytes() != before[1]
    assert set(names_in(again.certificate)) >= set(names)


def test_nobody_else_reads_the_keys(tmp_path):
    """Not even those of the group."""
    made = certified(tmp_path, NAMES, "shed", NOW)
    keys = [made.key, made.authority.with_name("authority-key.pem")]
    assert [oct(each.stat().st_mode & 0o777) for each in keys] == ["0o600", "0o600"]


def test_a_site_certificate_of_another_authority_is_made_anew(tmp_path):
    """Somebody put files of two machines together."""
    made = certified(tmp_path / "a", NAMES, "shed", NOW)
    other = certified(tmp_path / "b", NAMES, "shed", NOW)
    made.certificate.write_bytes(other.certificate.read_bytes())
    assert shaken(certified(tmp_path / "a", NAMES, "shed", NOW), "shed") == "trusted"


def test_what_cannot_be_read_is_told(tmp_path):
    """With how to go on; nothing is made over it."""
    made = certified(tmp_path, NAMES, "shed", NOW)
    made.authority.write_text("rust")
    with pytest.raises(Damaged, match=r"no certificate; put the folder https back"):
        certified(tmp_path, NAMES, "shed", NOW)
    assert made.authority.read_text() == "rust"


def test_a_phone_is_given_the_certificate_and_its_fingerprint(tmp_path):
    """The same that the machine shows."""
    made = certified(tmp_path, NAMES, "shed", NOW)
    given = x509.load_der_x509_certificate(as_der(made.authority))
    assert given == x509.load_pem_x509_certificate(made.authority.read_bytes())
    assert len(fingerprint(made.authority)) == 32 * 3 - 1
