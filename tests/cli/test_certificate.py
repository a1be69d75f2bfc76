"""HTTPS with a certificate the journal makes itself; served and checked by the standard library's own TLS client."""

import ipaddress
import socket
import ssl
import threading
import urllib.request
from datetime import UTC, datetime, timedelta

import pytest
from cheroot.ssl.builtin import BuiltinSSLAdapter
from cheroot.wsgi import Server
from cryptography import x509
from journal.cli import certificate, network

NAMES = ("127.0.0.1", "localhost", "bench.local", "192.168.1.20")


@pytest.fixture
def made(tmp_path):
    return certificate.ready(tmp_path, NAMES)


def read(path):
    return x509.load_pem_x509_certificate(path.read_bytes())


def serve(found):
    """One page over TLS on a free port; answers the port and what stops it."""

    def page(environ, start):
        start("200 OK", [("Content-Type", "text/plain")])
        return [environ["wsgi.url_scheme"].encode()]

    server = Server(("127.0.0.1", 0), page, numthreads=1)
    server.ssl_adapter = BuiltinSSLAdapter(str(found.certificate), str(found.key))
    server.prepare()
    threading.Thread(target=server.serve, daemon=True).start()
    return server.bind_addr[1], server.stop


def test_a_client_that_trusts_the_authority_gets_the_page_and_another_does_not(made):
    port, stop = serve(made)
    try:
        trusting = ssl.create_default_context(cafile=str(made.authority))
        with urllib.request.urlopen(f"https://127.0.0.1:{port}/", context=trusting) as answer:
            assert answer.read() == b"https"
        with socket.create_connection(("127.0.0.1", port)) as plain, pytest.raises(ssl.SSLCertVerificationError):
            ssl.create_default_context().wrap_socket(plain, server_hostname="127.0.0.1")
        with socket.create_connection(("127.0.0.1", port)) as plain, pytest.raises(ssl.SSLCertVerificationError):
            trusting.wrap_socket(plain, server_hostname="another.local")
    finally:
        stop()


def test_keys_are_for_their_owner_alone(made):
    for path in made.key.parent.iterdir():
        assert path.stat().st_mode & 0o777 == 0o600
    assert made.key.parent.stat().st_mode & 0o777 == 0o700


def test_it_is_kept_until_the_address_changes_or_it_soon_ends(tmp_path, made):
    first = made.certificate.read_bytes()
    authority = made.authority.read_bytes()
    assert certificate.ready(tmp_path, NAMES[:2]).certificate.read_bytes() == first
    moved = certificate.ready(tmp_path, (*NAMES, "192.168.1.77")).certificate.read_bytes()
    assert moved != first
    later = datetime.now(UTC) + timedelta(days=380)
    assert certificate.ready(tmp_path, NAMES, now=later).certificate.read_bytes() != moved
    assert made.authority.read_bytes() == authority


def test_another_authority_makes_another_certificate(tmp_path, made):
    made.authority.unlink()
    again = certificate.ready(tmp_path, NAMES)
    read(again.certificate).verify_directly_issued_by(read(again.authority))


def test_the_authority_vouches_only_for_local_names_and_addresses(made):
    constraints = read(made.authority).extensions.get_extension_for_class(x509.NameConstraints)
    assert constraints.critical
    networks = [one.value for one in constraints.value.permitted_subtrees if isinstance(one, x509.IPAddress)]
    assert all(found.is_private or found.is_link_local for found in networks)
    assert any(ipaddress.ip_address("192.168.1.20") in found for found in networks if found.version == 4)
    names = {one.value for one in constraints.value.permitted_subtrees if isinstance(one, x509.DNSName)}
    assert "local" in names
    assert "com" not in names


def test_browsers_accept_how_long_it_lasts(made):
    found = read(made.certificate)
    assert found.not_valid_after_utc - found.not_valid_before_utc <= timedelta(days=398)


def test_this_computer_has_a_name_to_be_opened_under():
    names = network.own_names()
    assert "127.0.0.1" in names
    assert len(names) == len(set(names))
