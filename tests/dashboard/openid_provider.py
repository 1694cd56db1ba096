"""A small provider of sign-ins on this machine: real HTTP, real keys, every lie.

It keeps to OpenID Connect Core 1.0 as far as a sign-in needs it, and looks at PKCE
(RFC 7636) and at the client's secret itself.
"""

import base64
import hashlib
import json
import secrets
import threading
import warnings
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from urllib.parse import parse_qs, urlencode, urlsplit

from joserfc import jwt
from joserfc.jwk import RSAKey

CLIENT, SECRET = "underprop", "a secret between two"


class Provider:
    """Lets everybody in as the person it is told; `lies` change what it says."""

    def __init__(self, now):
        self.now = now
        self.key = RSAKey.generate_key(2048, {"kid": "one", "use": "sig"})
        self.other_key = RSAKey.generate_key(2048, {"kid": "one", "use": "sig"})
        self.claims = {"sub": "7", "email": "ines@trees.example", "name": "Ines"}
        self.claims["email_verified"] = True
        self.lies, self.document, self.header = {}, {}, {"alg": "RS256", "kid": "one"}
        self.signs_with, self.codes, self.asked = self.key, {}, []
        self.iss_in_answer = None
        self.server = ThreadingHTTPServer(("127.0.0.1", 0), self._handler())
        self.issuer = f"http://127.0.0.1:{self.server.server_port}/city"
        self.thread = threading.Thread(target=self.server.serve_forever, daemon=True)
        self.thread.start()

    def close(self):
        self.server.shutdown()
        self.server.server_close()
        self.thread.join()

    def settings(self):
        return {
            "openid_issuer": self.issuer,
            "openid_client_id": CLIENT,
            "openid_client_secret": SECRET,
            "base_url": "http://localhost/",
        }

    def lets_in(self, address):
        """What a person's browser is told who signs in at that address."""
        asked = {k: v[0] for k, v in parse_qs(urlsplit(address).query).items()}
        code = secrets.token_urlsafe(8)
        self.codes[code] = asked
        back = {"code": code, "state": asked["state"]}
        if self.iss_in_answer:
            back["iss"] = self.iss_in_answer
        return "/sign-in/provider/back?" + urlencode(back)

    def described(self):
        said = {
            "issuer": self.issuer,
            "authorization_endpoint": f"{self.issuer}/authorise",
            "token_endpoint": f"{self.issuer}/token",
            "jwks_uri": f"{self.issuer}/keys",
        }
        return {**said, **self.document}

    def token(self, form, authorization):
        asked = self.codes.pop(form["code"][0], None)
        pair = base64.b64encode(f"{CLIENT}:{SECRET}".replace(" ", "%20").encode())
        proof = hashlib.sha256(form["code_verifier"][0].encode()).digest()
        challenge = base64.urlsafe_b64encode(proof).rstrip(b"=").decode()
        is_ours = authorization == f"Basic {pair.decode()}"
        if asked is None or not is_ours or challenge != asked["code_challenge"]:
            return None
        at = int(self.now().timestamp())
        claims = {
            "iss": self.issuer, "aud": CLIENT, "iat": at, "exp": at + 300,
            "nonce": asked["nonce"], **self.claims, **self.lies,
        }  # fmt: skip
        claims = {name: value for name, value in claims.items() if value is not None}
        return {
            "token_type": "Bearer",
            "access_token": "x",
            "id_token": self._signed(claims),
        }

    def _signed(self, claims):
        if self.header["alg"] == "none":
            parts = [_part({"alg": "none", "typ": "JWT"}), _part(claims), ""]
            return ".".join(parts)
        if self.header["alg"] == "HS256":
            from joserfc.jwk import OctKey

            with warnings.catch_warnings():
                warnings.simplefilter("ignore")
                key = OctKey.import_key(self.key.as_pem(private=False))
                return jwt.encode(self.header, claims, key, algorithms=["HS256"])
        return jwt.encode(self.header, claims, self.signs_with)

    def _handler(self):
        provider = self

        class Handler(BaseHTTPRequestHandler):
            def do_GET(self):
                provider.asked.append(self.path)
                keys = {"keys": [provider.key.as_dict(private=False)]}
                is_document = self.path.endswith("/openid-configuration")
                self._answer(provider.described() if is_document else keys)

            def do_POST(self):
                provider.asked.append(self.path)
                body = self.rfile.read(int(self.headers["Content-Length"])).decode()
                given = self.headers.get("Authorization")
                self._answer(provider.token(parse_qs(body), given))

            def _answer(self, said):
                self.send_response(200 if said is not None else 400)
                self.end_headers()
                self.wfile.write(json.dumps(said).encode())

            def log_message(self, *_):
                pass

        return Handler


def _part(said):
    return base64.urlsafe_b64encode(json.dumps(said).encode()).rstrip(b"=").decode()
