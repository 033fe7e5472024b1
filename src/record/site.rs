//! Where the journal is published: its address, the authority of the feed's identifiers, and who signs it.

use super::Record;
use super::fields::Context;
use super::timeline::Located;
use crate::diagnostic::Kind;

/// What tank.yaml says of the place where the journal is published.
#[derive(Clone, Debug, PartialEq)]
pub struct Site {
    pub address: Located<SiteAddress>,
    /// `example.org,2025-04-26`: the tagging entity of RFC 4151, a domain and a day on which it was the keeper's. Without it
    /// the address of each page is its identifier.
    pub feed_tag: Option<Located<String>>,
    /// The public name of whoever writes the journal.
    pub author: Option<String>,
}

/// The address of the folder in which the journal's front page lies, always with a slash at its end.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SiteAddress(String);

/// Why a text is no address of a site, and what might have been meant.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BadAddress {
    pub why: &'static str,
    pub suggestion: Option<String>,
}

fn bad<T>(why: &'static str, suggestion: impl Into<Option<String>>) -> Result<T, BadAddress> {
    Err(BadAddress { why, suggestion: suggestion.into() })
}

impl SiteAddress {
    /// An absolute address of scheme `https` (RFC 3986, 3 and 6.2.2) without user, query and fragment: the pages' own paths
    /// are put behind it.
    ///
    /// # Errors
    /// When it is anything else.
    pub fn parse(typed: &str) -> Result<SiteAddress, BadAddress> {
        let lower = typed.to_ascii_lowercase();
        let Some((scheme, _)) = lower.split_once("://") else {
            let meant = host_is_name(lower.split('/').next().unwrap_or_default());
            return bad("an address begins with `https://`", meant.then(|| format!("https://{typed}")));
        };
        let rest = &typed[scheme.len() + 3..];
        if scheme == "http" {
            return bad("only `https` keeps what is read from being changed on its way", format!("https://{rest}"));
        }
        if scheme != "https" {
            return bad("only `https` is an address that every reader can open", None);
        }
        if let Some(end) = rest.find(['?', '#']) {
            return bad(
                "it is the address of a folder, which has no `?` and no `#`",
                format!("https://{}", &rest[..end]),
            );
        }
        let (authority, path) = rest.split_once('/').unwrap_or((rest, ""));
        if authority.contains('@') {
            return bad("an address that is published holds no name of a user", None);
        }
        let (host, port) = authority.split_once(':').map_or((authority, None), |(host, port)| (host, Some(port)));
        if !host.is_ascii() {
            return bad("a name beyond ASCII is written in its `xn--` form", None);
        }
        if !host_is_name(host) {
            return bad("what follows `https://` is not the name of a site", None);
        }
        if port.is_some_and(|port| port.parse::<u16>().is_err() || port == "0" || port.starts_with('+')) {
            return bad("a port is a number from 1 to 65535", None);
        }
        let folder = path.strip_suffix('/').unwrap_or(path);
        if !folder.is_empty() {
            let last = folder.rsplit('/').next().unwrap_or_default();
            if [".html", ".htm"].iter().any(|end| last.to_ascii_lowercase().ends_with(end)) {
                let above = &rest[..authority.len() + 1 + folder.len() - last.len()];
                return bad("it is the address of a folder, not of a page in it", format!("https://{above}"));
            }
            if folder.split('/').any(|segment| matches!(segment, "" | "." | "..")) {
                return bad("a folder's name is missing between two `/`, or is `.` or `..`", None);
            }
            if !is_path(folder) {
                return bad("letters beyond ASCII, spaces and signs are written with `%` in an address", None);
            }
        }
        let slash = if folder.is_empty() { "" } else { "/" };
        Ok(SiteAddress(format!("https://{}/{folder}{slash}", authority.to_ascii_lowercase())))
    }

    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// The address of a file of the journal, with a place on it or without: `water/nitrate.html#figure-water-nitrate`. The
    /// front page of the whole journal is the folder's own address.
    pub fn of(&self, path: &str) -> String {
        let (file, place) = path.split_once('#').map_or((path, None), |(file, place)| (file, Some(place)));
        let file = if file == "index.html" { "" } else { file };
        let mut address = self.0.clone();
        encode(file, &mut address);
        if let Some(place) = place {
            address.push('#');
            encode(place, &mut address);
        }
        address
    }
}

/// Names of hosts as RFC 1123, 2.1 has them, with a dot; the last label begins with a letter, so that no number of an
/// interface passes for a name.
pub fn host_is_name(host: &str) -> bool {
    let labels: Vec<&str> = host.split('.').collect();
    labels.len() > 1
        && host.len() <= 253
        && labels.iter().all(|label| {
            (1..=63).contains(&label.len())
                && label.bytes().all(|byte| byte.is_ascii_alphanumeric() || byte == b'-')
                && !label.starts_with('-')
                && !label.ends_with('-')
        })
        && labels.last().is_some_and(|label| label.starts_with(|first: char| first.is_ascii_alphabetic()))
}

/// Characters of a segment (RFC 3986, 3.3: `pchar`) and the slash.
fn is_plain(byte: u8) -> bool {
    byte.is_ascii_alphanumeric() || b"-._~!$&'()*+,;=:@/".contains(&byte)
}

fn is_path(path: &str) -> bool {
    let bytes = path.as_bytes();
    (0..bytes.len()).all(|at| {
        let is_escape = bytes[at] == b'%'
            && bytes.get(at + 1).is_some_and(u8::is_ascii_hexdigit)
            && bytes.get(at + 2).is_some_and(u8::is_ascii_hexdigit);
        is_plain(bytes[at]) || is_escape
    })
}

/// Percent-encoding of what a path cannot hold (RFC 3986, 2.1). Names of files are not encoded yet, so `%` is.
fn encode(text: &str, into: &mut String) {
    for byte in text.bytes() {
        if is_plain(byte) {
            into.push(char::from(byte));
        } else {
            into.push_str(&format!("%{byte:02X}"));
        }
    }
}

/// A tagging entity of RFC 4151, 2.1: a domain name in small letters, a comma, and a date as year, year and month, or the whole
/// date. The form with an address for mail is left out, since the feed would publish it.
pub fn is_tagging_entity(typed: &str) -> bool {
    let Some((authority, date)) = typed.split_once(',') else {
        return false;
    };
    let is_number = |part: &str, digits: usize| part.len() == digits && part.bytes().all(|byte| byte.is_ascii_digit());
    let parts: Vec<&str> = date.split('-').collect();
    let is_date = match parts.as_slice() {
        [year] => is_number(year, 4),
        [year, month] => is_number(year, 4) && format!("{year}-{month}-01").parse::<jiff::civil::Date>().is_ok(),
        [year, month, day] => {
            is_number(year, 4) && is_number(month, 2) && is_number(day, 2) && date.parse::<jiff::civil::Date>().is_ok()
        }
        _ => false,
    };
    is_date && host_is_name(authority) && !authority.bytes().any(|byte| byte.is_ascii_uppercase())
}

/// A journal is one site, whatever the number of its tanks.
pub fn only_of_the_main_tank(record: &Record, context: &mut Context) {
    let Some(main) = record.main_tank() else {
        return;
    };
    for tank in record.tanks.values().filter(|tank| tank.key != main.key) {
        if let Some(site) = &tank.site {
            let kind = Kind::Contradiction {
                what: format!("`site-address` of the tank `{}`", tank.key),
                why: "the tanks of a record share one journal, and its address is the record's".into(),
                suggestion: Some(format!("writing it in {}", main.place.file)),
            };
            context.note(kind, &site.address.place);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parsed(typed: &str) -> String {
        SiteAddress::parse(typed).unwrap_or_else(|bad| panic!("{typed}: {}", bad.why)).as_str().to_string()
    }

    /// The names are those of RFC 2606, 3, which nobody else can own.
    #[test]
    fn addresses_end_in_a_slash_and_hosts_in_small_letters() {
        assert_eq!(parsed("https://example.org"), "https://example.org/");
        assert_eq!(parsed("https://Example.ORG/Reef"), "https://example.org/Reef/");
        assert_eq!(parsed("HTTPS://tanks.example.net:8443/a/b/"), "https://tanks.example.net:8443/a/b/");
        assert_eq!(
            parsed("https://xn--bcher-kva.example/~keeper/m%C3%BCll"),
            "https://xn--bcher-kva.example/~keeper/m%C3%BCll/"
        );
    }

    #[test]
    fn what_is_no_address_of_a_site_is_told_with_what_may_be_meant() {
        let meant = |typed: &str| SiteAddress::parse(typed).expect_err(typed).suggestion;
        assert_eq!(meant("example.org/reef"), Some("https://example.org/reef".into()));
        assert_eq!(meant("http://example.org"), Some("https://example.org".into()));
        assert_eq!(meant("https://example.org/reef/index.html"), Some("https://example.org/reef/".into()));
        assert_eq!(meant("https://example.org/?page=1"), Some("https://example.org/".into()));
        for typed in [
            "",
            "reef",
            "https://",
            "https://localhost/",
            "https://192.0.2.7/",
            "https://-a.example/",
            "https://a..example/",
            "https://me@example.org/",
            "https://example.org:0/",
            "https://example.org:70000/",
            "https://example.org/a//b",
            "https://example.org/../b",
            "https://example.org/a b",
            "https://example.org/ä",
            "https://exämple.org/",
            "ftp://example.org/",
            "file:///home",
            "https://example.org/%zz",
            "https://[2001:db8::1]/",
        ] {
            assert_eq!(meant(typed), None, "{typed}");
        }
    }

    /// RFC 3986, 2.1: octets that a path cannot hold are percent-encoded, in capitals (6.2.2.1).
    #[test]
    fn pages_get_addresses_below_it() {
        let site = SiteAddress::parse("https://example.org/reef").unwrap();
        assert_eq!(site.of("index.html"), "https://example.org/reef/");
        assert_eq!(site.of("index.html#losses-h"), "https://example.org/reef/#losses-h");
        assert_eq!(site.of("jar/index.html"), "https://example.org/reef/jar/index.html");
        assert_eq!(site.of("water/ph.html#figure-water-ph"), "https://example.org/reef/water/ph.html#figure-water-ph");
        assert_eq!(site.of("colony/grüne-100%.html"), "https://example.org/reef/colony/gr%C3%BCne-100%25.html");
    }

    /// The first four are examples of RFC 4151, 2.1 and 2.4, as far as they name a domain.
    #[test]
    fn tagging_entities() {
        for good in
            ["sandro.hawke.example,2001-06-05", "example.org,2004-01", "example.org,2004", "my-ids.example,2001-09-15"]
        {
            assert!(is_tagging_entity(good), "{good}");
        }
        for bad in [
            "example.org",
            "example.org,",
            "example.org,04",
            "example.org,2004-13",
            "example.org,2004-02-30",
            "Example.org,2004",
            "me@example.org,2004",
            "example.org, 2004",
            "example.org,2004-1-1",
        ] {
            assert!(!is_tagging_entity(bad), "{bad}");
        }
    }
}
