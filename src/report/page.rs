//! The frame of every page: self-contained, no script, nothing fetched; and the pieces pages share.

use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::reader::Reader;

/// Style of all pages. It is ours and holds nothing that ends a style element.
const STYLE: &str = include_str!("../../assets/report.css");

/// A whole page.
#[must_use]
pub fn page(title: &str, reader: &Reader, body: &Markup) -> String {
    let page = html! {
        (DOCTYPE)
        html lang=(reader.words.language().code()) {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="generator" content=(concat!("spoolbench ", env!("CARGO_PKG_VERSION")));
                title { (title) }
                style { (PreEscaped(STYLE)) }
            }
            body { (body) }
        }
    };
    page.into_string() + "\n"
}

/// A list of terms and what they are; those with nothing to say are left out.
#[must_use]
pub fn facts(list: &[(String, String)]) -> Markup {
    html! {
        dl {
            @for (term, is) in list {
                @if !is.is_empty() {
                    dt { (term) }
                    dd { (is) }
                }
            }
        }
    }
}

/// The head of a table: its caption and its columns; a column that begins with `#` holds numbers.
#[must_use]
pub fn head(caption: &str, columns: &[String]) -> Markup {
    html! {
        caption { (caption) }
        thead {
            tr {
                @for column in columns {
                    @if let Some(number) = column.strip_prefix('#') {
                        th class="n" scope="col" { (number) }
                    } @else {
                        th scope="col" { (column) }
                    }
                }
            }
        }
    }
}
