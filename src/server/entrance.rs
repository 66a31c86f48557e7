//! A way into the workroom: where it is reached, and the secret by which whoever comes is known.

use sha2::{Digest as _, Sha256};
use std::net::SocketAddr;

/// So many bytes of chance make a secret.
const SECRET: usize = 32;
/// The port of a page that names none.
const USUAL_PORT: u16 = 80;

/// An address that is listened on, with secrets of its own.
pub struct Entrance {
    address: SocketAddr,
    /// What stands in the address once.
    token: String,
    /// What the browser keeps from then on.
    cookie: String,
    /// How it may be called in `Host`.
    hosts: Vec<String>,
}

impl Entrance {
    /// The entrance at an address, with new secrets.
    ///
    /// # Errors
    /// A system that gives no chance.
    pub fn at(address: SocketAddr) -> Result<Entrance, getrandom::Error> {
        let mut hosts = vec![address.to_string()];
        if address.ip().is_loopback() {
            hosts.push(format!("localhost:{}", address.port()));
        }
        if address.port() == USUAL_PORT {
            // Browsers leave out the port that they would take anyway.
            let bare = hosts.iter().filter_map(|host| host.rsplit_once(':')).map(|(host, _)| host.to_string());
            hosts.extend(bare.collect::<Vec<_>>());
        }
        Ok(Entrance { address, token: secret()?, cookie: secret()?, hosts })
    }

    /// The address to open first, with the token.
    #[must_use]
    pub fn link(&self) -> String {
        format!("http://{}/?token={}", self.address, self.token)
    }

    /// Whether this is how it may be called.
    pub(super) fn is_host(&self, host: &str) -> bool {
        self.hosts.iter().any(|own| own.eq_ignore_ascii_case(host))
    }

    /// Whether a page of that origin is one of its own, called as in `Host`.
    pub(super) fn is_origin(&self, origin: &str, host: &str) -> bool {
        origin.strip_prefix("http://").is_some_and(|named| named.eq_ignore_ascii_case(host) && self.is_host(named))
    }

    /// Whether this is its token.
    pub(super) fn is_token(&self, token: &str) -> bool {
        same(token, &self.token)
    }

    /// The name of its cookie: browsers keep cookies by machine, and several of these may run on one.
    pub(super) fn cookie_name(&self) -> String {
        format!("stillroom-{}", self.address.port())
    }

    /// What is to be set once the token was right.
    pub(super) fn set_cookie(&self) -> String {
        format!("{}={}; HttpOnly; SameSite=Strict; Path=/", self.cookie_name(), self.cookie)
    }

    /// Whether its cookie is among those of a request.
    pub(super) fn has_cookie(&self, cookies: &str) -> bool {
        let name = self.cookie_name();
        cookies
            .split(';')
            .filter_map(|pair| pair.trim().split_once('='))
            .any(|(key, value)| key == name && same(value, &self.cookie))
    }
}

fn secret() -> Result<String, getrandom::Error> {
    let mut bytes = [0; SECRET];
    getrandom::fill(&mut bytes)?;
    Ok(bytes.iter().map(|byte| format!("{byte:02x}")).collect())
}

/// Whether two secrets are the same, by their digests: how long that takes says nothing of how much of one was right.
fn same(one: &str, other: &str) -> bool {
    Sha256::digest(one) == Sha256::digest(other)
}

#[cfg(test)]
mod tests {
    use super::Entrance;

    #[test]
    fn only_its_own_names_and_secrets_open_it() {
        let entrance = Entrance::at("127.0.0.1:4711".parse().unwrap()).unwrap();
        let token = entrance.link().split_once("?token=").unwrap().1.to_string();
        assert!(entrance.is_token(&token) && token.len() == 64);
        assert!(!entrance.is_token("") && !entrance.is_token(&token[1..]) && !entrance.is_token(&entrance.cookie));
        assert!(entrance.is_host("127.0.0.1:4711") && entrance.is_host("LOCALHOST:4711"));
        for host in ["127.0.0.1", "localhost", "127.0.0.1:80", "example.org:4711", "127.0.0.1:4711.example.org", ""] {
            assert!(!entrance.is_host(host), "{host}");
        }
        assert!(entrance.is_origin("http://127.0.0.1:4711", "127.0.0.1:4711"));
        for origin in ["null", "", "https://127.0.0.1:4711", "http://localhost:4711", "http://example.org"] {
            assert!(!entrance.is_origin(origin, "127.0.0.1:4711"), "{origin}");
        }
        let lan = Entrance::at("192.168.1.20:4711".parse().unwrap()).unwrap();
        assert!(lan.is_host("192.168.1.20:4711") && !lan.is_host("localhost:4711") && !lan.is_host("127.0.0.1:4711"));
        let cookie = entrance.set_cookie().split_once(';').unwrap().0.to_string();
        assert!(entrance.has_cookie(&cookie) && entrance.has_cookie(&format!("a=b; {cookie}; c")));
        assert!(!entrance.has_cookie(&cookie.replace("4711", "4712")) && !entrance.has_cookie("stillroom-4711="));
    }
}
