//! The map of the site: every page, by the protocol of sitemaps.org, version 0.9.

use jiff::civil::Date;

use crate::pages::markup::escape;
use crate::record::Site;

/// A file may list so many addresses, says the protocol.
const MOST: usize = 50_000;

const NAMESPACE: &str = "http://www.sitemaps.org/schemas/sitemap/0.9";

/// `sitemap.xml`; of more pages than one file may list, an index of that name and the files it names. All pages are of the date at which the
/// record stands, since all are written anew from it.
pub fn write<'p>(pages: impl Iterator<Item = &'p str>, site: &Site, as_of: Date) -> Vec<(String, String)> {
    split(pages, site, as_of, MOST)
}

fn split<'p>(pages: impl Iterator<Item = &'p str>, site: &Site, as_of: Date, most: usize) -> Vec<(String, String)> {
    let mut paths: Vec<&str> = pages.collect();
    paths.sort_unstable();
    let address = |path: &str| escape(&site.address.value.of(path));
    let maps: Vec<String> = paths
        .chunks(most)
        .map(|paths| {
            let urls: String = paths
                .iter()
                .map(|path| format!("<url><loc>{}</loc><lastmod>{as_of}</lastmod></url>\n", address(path)))
                .collect();
            format!("{HEAD}<urlset xmlns=\"{NAMESPACE}\">\n{urls}</urlset>\n")
        })
        .collect();
    if maps.len() == 1 {
        return maps.into_iter().map(|map| ("sitemap.xml".into(), map)).collect();
    }
    let mut files: Vec<(String, String)> =
        maps.into_iter().enumerate().map(|(index, map)| (format!("sitemap-{}.xml", index + 1), map)).collect();
    let listed: String = files
        .iter()
        .map(|(path, _)| format!("<sitemap><loc>{}</loc><lastmod>{as_of}</lastmod></sitemap>\n", address(path)))
        .collect();
    let index = format!("{HEAD}<sitemapindex xmlns=\"{NAMESPACE}\">\n{listed}</sitemapindex>\n");
    files.push(("sitemap.xml".into(), index));
    files
}

const HEAD: &str = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n";

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostic::Place;
    use crate::record::{Located, SiteAddress};
    use jiff::civil::date;

    fn site() -> Site {
        let place = Place { file: "tank.yaml".into(), line: 1, column: 1, length: 1 };
        let address = Located::new(SiteAddress::parse("https://example.org/reef/").unwrap(), place);
        Site { address, feed_tag: None, author: None }
    }

    #[test]
    fn a_map_lists_every_page_once() {
        let files = write(["water/ph.html", "index.html", "colony/a&b.html"].into_iter(), &site(), date(2026, 10, 10));
        assert_eq!(files.len(), 1);
        assert_eq!(files[0].0, "sitemap.xml");
        assert_eq!(
            files[0].1,
            "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
             <urlset xmlns=\"http://www.sitemaps.org/schemas/sitemap/0.9\">\n\
             <url><loc>https://example.org/reef/colony/a&amp;b.html</loc><lastmod>2026-10-10</lastmod></url>\n\
             <url><loc>https://example.org/reef/</loc><lastmod>2026-10-10</lastmod></url>\n\
             <url><loc>https://example.org/reef/water/ph.html</loc><lastmod>2026-10-10</lastmod></url>\n\
             </urlset>\n"
        );
    }

    #[test]
    fn more_pages_than_a_file_may_list_are_shared_out() {
        let files = split(["a.html", "b.html", "c.html"].into_iter(), &site(), date(2026, 10, 10), 2);
        let paths: Vec<&str> = files.iter().map(|(path, _)| path.as_str()).collect();
        assert_eq!(paths, ["sitemap-1.xml", "sitemap-2.xml", "sitemap.xml"]);
        assert_eq!(files[0].1.matches("<url>").count(), 2);
        assert!(files[1].1.contains("https://example.org/reef/c.html"));
        assert!(files[2].1.contains("<sitemap><loc>https://example.org/reef/sitemap-2.xml</loc>"));
    }
}
