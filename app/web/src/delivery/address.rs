//! Addresses of collectors: which may be named, and which are.

use crate::js;

/// Why a text is no address of a collector.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NotAnAddress {
    /// No address at all.
    Unreadable,
    /// Not encrypted, and not this machine.
    NotSecure,
    /// More than host and folder: a name, a question, a mark.
    TooMuch,
    /// Named already.
    Known,
}

impl core::fmt::Display for NotAnAddress {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.write_str(match self {
            Self::Unreadable => "This is no address: write it as https://collector.example.",
            Self::NotSecure => {
                "The address must begin with https://, so that nobody on the way can read the names."
            }
            Self::TooMuch => {
                "The address must end with the host or a folder: no name, no ? and no # in it."
            }
            Self::Known => "This collector is named already.",
        })
    }
}

/// An address as the browser takes it apart.
#[derive(Clone, Copy, Debug)]
struct Parts<'a> {
    protocol: &'a str,
    hostname: &'a str,
    origin: &'a str,
    pathname: &'a str,
    /// User name, password, question and mark, one after the other.
    more: &'a str,
}

fn admit(parts: Parts<'_>) -> Result<String, NotAnAddress> {
    if parts.hostname.is_empty() {
        return Err(NotAnAddress::Unreadable);
    }
    match parts.protocol {
        "https:" => {}
        "http:" if ["localhost", "127.0.0.1"].contains(&parts.hostname) => {}
        "http:" => return Err(NotAnAddress::NotSecure),
        _ => return Err(NotAnAddress::Unreadable),
    }
    if !parts.more.is_empty() {
        return Err(NotAnAddress::TooMuch);
    }
    let folder = parts.pathname.trim_end_matches('/');
    Ok(format!("{}{folder}", parts.origin))
}

/// The address that a text names, without a slash at its end; `https://` is
/// added where nothing is said.
///
/// # Errors
/// When it is none, or one where names could be read on the way.
pub fn read(text: &str) -> Result<String, NotAnAddress> {
    let text = text.trim();
    let text = match text {
        "" => return Err(NotAnAddress::Unreadable),
        _ if text.contains("://") => text.to_string(),
        _ => format!("https://{text}"),
    };
    let url = crate::sharing::new_object("URL", &[text.into()]).ok_or(NotAnAddress::Unreadable)?;
    let part = |name| js::text(&url, name).unwrap_or_default();
    let more = ["username", "password", "search", "hash"]
        .map(part)
        .concat();
    admit(Parts {
        protocol: &part("protocol"),
        hostname: &part("hostname"),
        origin: &part("origin"),
        pathname: &part("pathname"),
        more: &more,
    })
}

/// What is known of the address that the app was served from.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum OwnAddress {
    /// It has not answered as a collector yet.
    #[default]
    Unknown,
    /// It is a collector, and used.
    Used,
    /// It is a collector, and not wanted.
    Off,
}

/// The collectors that this phone delivers to.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct NamedCollectors {
    /// The address the app was served from.
    pub own: OwnAddress,
    /// Others, in the order in which they were named.
    pub others: Vec<String>,
}

impl NamedCollectors {
    /// Every address in use, the own one first.
    pub fn addresses(&self, own: &str) -> Vec<String> {
        let own = (self.own == OwnAddress::Used).then(|| own.to_string());
        own.into_iter().chain(self.others.iter().cloned()).collect()
    }

    /// Where something may be asked: as [`addresses`](Self::addresses), and the
    /// own one also while nobody knows yet whether it is a collector.
    pub fn to_ask(&self, own: &str) -> Vec<String> {
        let mut all = self.addresses(own);
        if self.own == OwnAddress::Unknown {
            all.insert(0, own.to_string());
        }
        all
    }
}

/// An address for people: without its scheme.
pub fn host(address: &str) -> &str {
    address.split_once("://").map_or(address, |(_, host)| host)
}

/// The address that the app was served from, with its folder.
pub fn own() -> String {
    let origin = js::window().and_then(|w| w.location().origin().ok());
    origin.unwrap_or_default() + &js::folder()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(
        protocol: &str,
        hostname: &str,
        pathname: &str,
        more: &str,
    ) -> Result<String, NotAnAddress> {
        let origin = format!("{protocol}//{hostname}");
        admit(Parts {
            protocol,
            hostname,
            origin: &origin,
            pathname,
            more,
        })
    }

    #[test]
    fn only_what_nobody_on_the_way_can_read() {
        let good = [
            ("https:", "a.example", "/", "https://a.example"),
            ("https:", "a.example", "/day/", "https://a.example/day"),
            ("http:", "localhost", "/", "http://localhost"),
            ("http:", "127.0.0.1", "/", "http://127.0.0.1"),
        ];
        for (protocol, host, path, normal) in good {
            assert_eq!(said(protocol, host, path, "").as_deref(), Ok(normal));
        }
        for host in ["a.example", "127.0.0.2", "localhost.example", "192.168.1.7"] {
            assert_eq!(said("http:", host, "/", ""), Err(NotAnAddress::NotSecure));
        }
        for protocol in ["ftp:", "file:", "javascript:", "ws:", "data:"] {
            assert_eq!(
                said(protocol, "a.example", "/", ""),
                Err(NotAnAddress::Unreadable)
            );
        }
        for more in ["name", "?to=b", "#here"] {
            assert_eq!(
                said("https:", "a.example", "/", more),
                Err(NotAnAddress::TooMuch)
            );
        }
        assert_eq!(said("https:", "", "/", ""), Err(NotAnAddress::Unreadable));
    }

    #[test]
    fn the_own_address_comes_first_and_only_when_it_is_used() {
        let mut named = NamedCollectors {
            own: OwnAddress::Unknown,
            others: vec!["https://b.example".into()],
        };
        assert_eq!(named.addresses("https://own"), ["https://b.example"]);
        // What reads may ask there all the same.
        let to_ask = ["https://own", "https://b.example"];
        assert_eq!(named.to_ask("https://own"), to_ask);
        named.own = OwnAddress::Used;
        assert_eq!(
            named.addresses("https://own"),
            ["https://own", "https://b.example"]
        );
    }
}
