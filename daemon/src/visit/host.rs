//! Which names a request may come by.
//!
//! A page elsewhere can make a name of its own point to this machine, and then its requests come here as if they were ours. It
//! cannot do that with a number, nor with a name it does not hold; so those alone are served.

use std::net::IpAddr;

/// Returns whether this `Host` may be served: an address, `localhost`, or this machine's own name, with any port.
#[must_use]
pub(super) fn is_served(host: &str, own_name: &str) -> bool {
    let name = match host.strip_prefix('[') {
        Some(rest) => rest.split_once(']').map_or(rest, |(address, _)| address),
        None => host.split_once(':').map_or(host, |(name, _)| name),
    };
    if name.parse::<IpAddr>().is_ok() || name.eq_ignore_ascii_case("localhost") {
        return true;
    }
    let short = name.strip_suffix(".local").unwrap_or(name);
    !own_name.is_empty() && short.eq_ignore_ascii_case(own_name)
}

/// Returns whether a request with this `Origin` comes from our own page.
#[must_use]
pub fn is_own_origin(origin: &str, host: &str) -> bool {
    origin
        .strip_prefix("http://")
        .is_some_and(|from| from.eq_ignore_ascii_case(host))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_and_the_own_name_are_served_and_no_other_name_is() {
        for host in [
            "127.0.0.1:4870",
            "192.168.1.20",
            "[::1]:4870",
            "[fe80::1]",
            "localhost:4870",
            "Studio:4870",
            "studio.local",
        ] {
            assert!(is_served(host, "studio"), "{host}");
        }
        for host in [
            "example.net:4870",
            "studio.example.net",
            "127.0.0.1.example.net",
            "localhost.example.net",
            "",
            ":4870",
            "1.2.3",
        ] {
            assert!(!is_served(host, "studio"), "{host}");
        }
        assert!(!is_served("", "") && !is_served(".local", ""));
    }

    #[test]
    fn the_own_page_is_told_from_others() {
        assert!(is_own_origin("http://127.0.0.1:4870", "127.0.0.1:4870"));
        for origin in [
            "http://127.0.0.1:8080",
            "https://127.0.0.1:4870",
            "http://example.net",
            "null",
        ] {
            assert!(!is_own_origin(origin, "127.0.0.1:4870"), "{origin}");
        }
    }
}
