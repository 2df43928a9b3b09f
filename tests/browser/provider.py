"""A provider of OpenID Connect on loopback: discovery, code flow with PKCE, keys, signed tokens.

Authlib does the protocol (its server side, OpenID Connect Core 1.0, RFC 6749, RFC 7636) and
joserfc the keys; here are only the people, one client, and what a person presses.

    with providing(redirect="http://localhost:8501/oauth2callback") as provider:
        provider.metadata      # address for `server_metadata_url`
"""

from __future__ import annotations

import json
import secrets
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from html import escape
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any
from urllib.parse import parse_qs, urlsplit

from authlib.oauth2.rfc6749 import AuthorizationServer, grants
from authlib.oauth2.rfc6749.requests import BasicOAuth2Payload, JsonRequest, OAuth2Request
from authlib.oauth2.rfc7636 import CodeChallenge
from authlib.oidc.core import UserInfo
from authlib.oidc.core.grants import OpenIDCode
from joserfc.jwk import RSAKey

CLIENT, SECRET = "the-dashboard", secrets.token_urlsafe(24)
LASTS_S = 600


@dataclass
class Client:
    """The dashboard, as the provider knows it."""

    redirect: str

    def get_client_id(self) -> str:
        return CLIENT

    def get_default_redirect_uri(self) -> str:
        return self.redirect

    def get_allowed_scope(self, scope: str) -> str:
        return " ".join(s for s in scope.split() if s in ("openid", "email", "profile"))

    def check_redirect_uri(self, address: str) -> bool:
        return address == self.redirect

    def check_client_secret(self, secret: str) -> bool:
        return secrets.compare_digest(secret, SECRET)

    def check_endpoint_auth_method(self, method: str, _endpoint: str) -> bool:
        return method in ("client_secret_basic", "client_secret_post")

    def check_response_type(self, kind: str) -> bool:
        return kind == "code"

    def check_grant_type(self, kind: str) -> bool:
        return kind == "authorization_code"


@dataclass
class Code:
    """A code that was given out, good for one token."""

    code: str
    email: str
    redirect_uri: str
    scope: str
    nonce: str | None
    code_challenge: str | None
    code_challenge_method: str | None
    auth_time: int = field(default_factory=lambda: int(time.time()))

    def get_redirect_uri(self) -> str:
        return self.redirect_uri

    def get_scope(self) -> str:
        return self.scope

    def get_nonce(self) -> str | None:
        return self.nonce

    def get_auth_time(self) -> int:
        return self.auth_time

    def get_acr(self) -> None:
        return None

    def get_amr(self) -> None:
        return None


class Request(OAuth2Request):
    """A request as Authlib reads it."""

    def __init__(self, method: str, uri: str, form: dict[str, str], headers: Any) -> None:
        super().__init__(method, uri, headers=headers)
        query = {name: values[0] for name, values in parse_qs(urlsplit(uri).query).items()}
        self.payload = BasicOAuth2Payload(query | form)
        self._form = form

    @property
    def args(self) -> dict[str, str]:
        return {name: values[0] for name, values in parse_qs(urlsplit(self.uri).query).items()}

    @property
    def form(self) -> dict[str, str]:
        return self._form


class Provider(AuthorizationServer):
    """The provider: one client, its people, a key of its own."""

    def __init__(self, port: int, redirect: str, unverified: tuple[str, ...]) -> None:
        super().__init__(scopes_supported=["openid", "email", "profile"])
        self.issuer = f"http://localhost:{port}"
        self.metadata = f"{self.issuer}/.well-known/openid-configuration"
        self.unverified = unverified
        self.client = Client(redirect)
        self.codes: dict[str, Code] = {}
        self.tokens_given = 0
        self.key = RSAKey.generate_key(2048, {"use": "sig", "alg": "RS256", "kid": "one"})
        self.register_token_generator("default", self._bearer)
        self.register_grant(_CodeGrant, [_Signed(self), CodeChallenge(required=True)])

    def discovery(self) -> dict[str, Any]:
        """OpenID Connect Discovery 1.0, section 3."""
        return {
            "issuer": self.issuer,
            "authorization_endpoint": f"{self.issuer}/authorize",
            "token_endpoint": f"{self.issuer}/token",
            "jwks_uri": f"{self.issuer}/keys",
            "response_types_supported": ["code"],
            "subject_types_supported": ["public"],
            "id_token_signing_alg_values_supported": ["RS256"],
            "code_challenge_methods_supported": ["S256"],
            "scopes_supported": ["openid", "email", "profile"],
        }

    def keys(self) -> dict[str, Any]:
        """The public half, RFC 7517."""
        return {"keys": [self.key.as_dict(private=False)]}

    def claims(self, email: str) -> UserInfo:
        return UserInfo(
            sub=f"id-of-{email}", email=email, email_verified=email not in self.unverified
        )

    def _bearer(self, scope: str, **_how: Any) -> dict[str, Any]:
        self.tokens_given += 1
        token = {"token_type": "Bearer", "access_token": secrets.token_urlsafe(16)}
        return {**token, "expires_in": LASTS_S, "scope": scope}

    def query_client(self, client_id: str) -> Client | None:
        return self.client if client_id == CLIENT else None

    def save_token(self, token: Any, request: Any) -> None:
        """Nobody asks for a token again: it is the signed one that counts."""

    def create_oauth2_request(self, request: Request) -> Request:
        return request

    def create_json_request(self, request: Request) -> JsonRequest:
        return JsonRequest(request.method, request.uri, request.headers)

    def handle_response(self, status: int, body: Any, headers: Any) -> tuple[int, Any, Any]:
        return status, body, headers

    def send_signal(self, name: str, *args: Any, **kwargs: Any) -> None:
        """Nobody listens."""


class _CodeGrant(grants.AuthorizationCodeGrant):
    TOKEN_ENDPOINT_AUTH_METHODS = ("client_secret_basic", "client_secret_post")

    def save_authorization_code(self, code: str, request: Request) -> None:
        form = request.payload.data
        self.server.codes[code] = Code(
            code, request.user, form.get("redirect_uri", ""), form.get("scope", ""),
            form.get("nonce"), form.get("code_challenge"), form.get("code_challenge_method"),
        )  # fmt: skip

    def query_authorization_code(self, code: str, _client: Client) -> Code | None:
        return self.server.codes.get(code)

    def delete_authorization_code(self, authorization_code: Code) -> None:
        self.server.codes.pop(authorization_code.code, None)

    def authenticate_user(self, authorization_code: Code) -> str:
        return authorization_code.email


class _Signed(OpenIDCode):
    def __init__(self, provider: Provider) -> None:
        super().__init__(require_nonce=True)
        self.provider = provider

    def exists_nonce(self, nonce: str, _request: Request) -> bool:
        return any(code.nonce == nonce for code in self.provider.codes.values())

    def resolve_client_private_key(self, _client: Client) -> RSAKey:
        return self.provider.key

    def get_encode_header(self, _client: Client) -> dict[str, str]:
        return {"alg": "RS256", "kid": "one"}

    def get_client_claims(self, client: Client) -> dict[str, Any]:
        return {"iss": self.provider.issuer, "aud": [client.get_client_id()]}

    def generate_user_info(self, user: str, _scope: str) -> UserInfo:
        return self.provider.claims(user)


def _handler(provider: Provider) -> type[BaseHTTPRequestHandler]:
    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            path = urlsplit(self.path).path
            if path == "/.well-known/openid-configuration":
                self._answer(200, provider.discovery())
            elif path == "/keys":
                self._answer(200, provider.keys())
            elif path == "/authorize":
                self._answer(200, self._who())
            else:
                self._answer(404, {})

        def do_POST(self) -> None:
            length = int(self.headers.get("content-length", 0))
            posted = parse_qs(self.rfile.read(length).decode())
            form = {name: values[0] for name, values in posted.items()}
            request = Request("POST", provider.issuer + self.path, form, self.headers)
            if self.path.startswith("/authorize"):
                request = Request("GET", provider.issuer + self.path, {}, self.headers)
                grant = provider.get_consent_grant(request, end_user=form["email"])
                made = provider.create_authorization_response(request, form["email"], grant)
            else:
                made = provider.create_token_response(request)
            self._answer(*made)

        def _who(self) -> str:
            action = escape(self.path, quote=True)
            return (
                f'<title>Who are you?</title><form method="post" action="{action}">'
                '<label>Email <input name="email"></label><button>Go on</button></form>'
            )

        def _answer(self, status: int, body: Any, headers: Any = ()) -> None:
            page = isinstance(body, str)
            content = (body if page else json.dumps(body)).encode()
            self.send_response(status)
            for name, value in headers:
                if name.lower() not in ("content-type", "content-length"):
                    self.send_header(name, value)
            self.send_header("content-type", "text/html" if page else "application/json")
            self.send_header("content-length", str(len(content)))
            self.end_headers()
            self.wfile.write(content)

        def log_message(self, *_: Any) -> None:
            """Say nothing."""

    return Handler


@contextmanager
def providing(redirect: str, unverified: tuple[str, ...] = ()) -> Iterator[Provider]:
    """Run a provider on a free port of loopback, for one client; stop it afterwards."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    provider = Provider(port, redirect, unverified)
    server = ThreadingHTTPServer(("localhost", port), _handler(provider))
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield provider
    finally:
        server.shutdown()
        server.server_close()
        thread.join()
