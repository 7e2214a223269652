"""A certificate authority of this machine's own, so that phones in the garage speak https to it.

Phones let camera and offline pages work by https only, and no public authority vouches for a
machine without a public name. The authority is made once and stays; a phone is told once to trust
it. It may vouch only for names of a home network (RFC 5280, 4.2.1.10, name constraints), so that
its key, if stolen, opens nothing else. The machine's certificate is made anew when it is near its
end, or when the machine goes by other names.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from ipaddress import ip_address, ip_network
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from putback.errors import Damaged
from putback.workshop.logbooks.files import disk_trouble, make_folder, write_whole

FOLDER = "https"
AUTHORITY = "authority.pem"
AUTHORITY_LASTS = timedelta(days=3650)
SITE_LASTS = timedelta(days=397)
"""Phones refuse certificates that last longer: 825 days at the most (Apple's support page 103769,
from memory), 398 by habit."""
RENEWED_BEFORE = timedelta(days=30)
_SLACK = timedelta(days=1)
"""A phone's clock may be behind."""

HOME_NETWORKS = (
    *("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16"),  # RFC 1918
    *("127.0.0.0/8", "169.254.0.0/16"),  # RFC 1122, RFC 3927
    "100.64.0.0/10",  # RFC 6598
    *("::1/128", "fc00::/7", "fe80::/10"),  # RFC 4291, RFC 4193
)
HOME_NAMES = ("localhost", "local", "lan", "home.arpa", "internal")
"""Names that end so are nobody's in public (RFC 6761, RFC 6762, RFC 8375, and habit)."""

_Key = ec.EllipticCurvePrivateKey


@dataclass(frozen=True, slots=True)
class Certified:
    """The files that a server needs, and that phones are given."""

    certificate: Path
    key: Path
    authority: Path


def certified(home: Path, names: Sequence[str], machine: str, now: datetime) -> Certified:
    """Give a certificate for this machine's names, made or renewed where that is needed.

    Parameters
    ----------
    names : sequence of str
        Host names and addresses by which phones reach it; those that are no home network's are
        left out.
    machine : str
        The machine's own name, for which the authority may vouch as well.

    Raises
    ------
    Damaged
        If a file of it cannot be read.
    """
    folder = home / FOLDER
    with disk_trouble(folder):
        make_folder(folder)
        authority = folder / AUTHORITY
        authority_key = folder / "authority-key.pem"
        is_new = not authority.exists()
        if is_new:
            _make_authority(authority, authority_key, machine, now)
        site, site_key = folder / "site.pem", folder / "site-key.pem"
        root = _certificate(authority)
        wanted = _allowed(root, names)
        if is_new or not site_key.exists() or not _will_do(site, root, wanted, now):
            _make_site(site, site_key, root, _key(authority_key), wanted, now)
    return Certified(site, site_key, authority)


def names_in(certificate: Path) -> tuple[str, ...]:
    """Name the hosts and addresses that a certificate is for.

    Raises
    ------
    Damaged
        If it is no certificate.
    """
    return _names(_certificate(certificate))


def fingerprint(certificate: Path) -> str:
    """Give the SHA-256 fingerprint as phones show it: pairs of figures with colons."""
    return _certificate(certificate).fingerprint(hashes.SHA256()).hex(":").upper()


def as_der(certificate: Path) -> bytes:
    """Give a certificate in the form in which every phone takes it."""
    return _certificate(certificate).public_bytes(serialization.Encoding.DER)


def _make_authority(path: Path, key_path: Path, machine: str, now: datetime) -> None:
    key = ec.generate_private_key(ec.SECP256R1())
    name = _named(f"Putback on {machine}"[:64])
    permitted: list[x509.GeneralName] = [
        x509.IPAddress(ip_network(network)) for network in HOME_NETWORKS
    ]
    permitted += [x509.DNSName(each) for each in dict.fromkeys((*HOME_NAMES, machine))]
    made = (
        _begun(name, name, key, now, AUTHORITY_LASTS)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(signs_certificates=True), critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .add_extension(x509.NameConstraints(permitted, None), critical=True)
        .sign(key, hashes.SHA256())
    )
    _write_key(key_path, key)  # first: a certificate without its key would be of no use
    write_whole(path, made.public_bytes(serialization.Encoding.PEM))


def _make_site(
    path: Path,
    key_path: Path,
    root: x509.Certificate,
    root_key: _Key,
    names: Sequence[str],
    now: datetime,
) -> None:
    key = ec.generate_private_key(ec.SECP256R1())
    made = (
        _begun(_named(names[0][:64]), root.subject, key, now, SITE_LASTS)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(signs_certificates=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(
            x509.SubjectAlternativeName([_general(each) for each in names]), critical=False
        )
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(root_key.public_key()),
            critical=False,
        )
        .sign(root_key, hashes.SHA256())
    )
    _write_key(key_path, key)
    write_whole(path, made.public_bytes(serialization.Encoding.PEM))


def _begun(
    subject: x509.Name, issuer: x509.Name, key: _Key, now: datetime, lasts: timedelta
) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - _SLACK)
        .not_valid_after(now + lasts - _SLACK)
    )


def _will_do(site: Path, root: x509.Certificate, names: Sequence[str], now: datetime) -> bool:
    """Tell whether the certificate there is for these names, of this authority, and lasts."""
    if not site.exists():
        return False
    there = _certificate(site)
    try:
        there.verify_directly_issued_by(root)
    except Exception:  # noqa: BLE001 - whatever is wrong with it, another is made
        return False
    return set(names) <= set(_names(there)) and there.not_valid_after_utc - now > RENEWED_BEFORE


def _allowed(root: x509.Certificate, names: Iterable[str]) -> tuple[str, ...]:
    """Give those names for which the authority may vouch, always this machine's own among them."""
    constraints = root.extensions.get_extension_for_class(x509.NameConstraints).value
    permitted = constraints.permitted_subtrees or []
    hosts = [each.value for each in permitted if isinstance(each, x509.DNSName)]
    networks = [each.value for each in permitted if isinstance(each, x509.IPAddress)]
    found = []
    for name in dict.fromkeys(("localhost", "127.0.0.1", *names)):
        general = _general(name)
        if isinstance(general, x509.IPAddress):
            address = ip_address(name)
            is_ours = any(address in network for network in networks)  # type: ignore[operator]
        else:
            is_ours = any(name == host or name.endswith(f".{host}") for host in hosts)
        if is_ours:
            found.append(name)
    return tuple(found)


def _general(name: str) -> x509.GeneralName:
    try:
        return x509.IPAddress(ip_address(name))
    except ValueError:
        return x509.DNSName(name)


def _names(certificate: x509.Certificate) -> tuple[str, ...]:
    try:
        found = certificate.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    except x509.ExtensionNotFound:
        return ()
    hosts = found.get_values_for_type(x509.DNSName)
    return (*hosts, *(str(each) for each in found.get_values_for_type(x509.IPAddress)))


def _usage(*, signs_certificates: bool) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=not signs_certificates,
        key_cert_sign=signs_certificates,
        crl_sign=signs_certificates,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        encipher_only=False,
        decipher_only=False,
    )


def _named(name: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, name)])


def _write_key(path: Path, key: _Key) -> None:
    content = key.private_bytes(
        serialization.Encoding.PEM,
        serialization.PrivateFormat.PKCS8,
        serialization.NoEncryption(),
    )
    write_whole(path, content, 0o600)


def _certificate(path: Path) -> x509.Certificate:
    try:
        return x509.load_pem_x509_certificate(path.read_bytes())
    except ValueError as error:
        raise Damaged(str(path), "it is no certificate", _MEND) from error


def _key(path: Path) -> _Key:
    try:
        key = serialization.load_pem_private_key(path.read_bytes(), None)
    except (ValueError, TypeError) as error:
        raise Damaged(str(path), "it is no key", _MEND) from error
    if not isinstance(key, ec.EllipticCurvePrivateKey):
        raise Damaged(str(path), "it is no key of this authority", _MEND)
    return key


_MEND = "put the folder https back from a backup, or remove it: phones then trust anew"
