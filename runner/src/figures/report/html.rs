//! The shell of an HTML page, and how words of people get into it.

use std::fmt::Write;

use super::text::turns_writing;

/// How every page looks: ink on paper, one column, readable in grey and on either A4 or Letter.
const STYLE: &str = "\
:root{color-scheme:light}\
*{box-sizing:border-box}\
body{margin:0 auto;padding:24px;max-width:190mm;background:#fff;color:#1a1d20;\
font:9.5pt/1.3 'Helvetica Neue',Helvetica,Arial,'DejaVu Sans',sans-serif}\
h1{font-size:17pt;line-height:1.2;margin:0 0 4px;overflow-wrap:anywhere}\
h2{font-size:11pt;margin:10px 0 4px;padding-bottom:2px;border-bottom:1.5px solid #1a1d20}\
p{margin:4px 0;overflow-wrap:anywhere}\
ul{margin:4px 0;padding-left:18px}\
li{margin:2px 0;overflow-wrap:anywhere}\
.under{color:#4a5056;margin-bottom:8px}\
table{width:100%;border-collapse:collapse;font-variant-numeric:tabular-nums}\
th,td{text-align:left;vertical-align:top;padding:2px 8px 2px 0;border-bottom:1px solid #c9ccd0;overflow-wrap:anywhere}\
th{font-size:9pt;font-weight:600;color:#4a5056;border-bottom-color:#1a1d20}\
th.n,td.n{text-align:right;white-space:nowrap}\
.fixed{table-layout:fixed}\
.fixed td,.fixed th{white-space:nowrap;overflow:hidden;text-overflow:ellipsis}\
.verdict{border:2px solid #1a1d20;padding:8px 12px;margin:8px 0}\
.verdict b{font-size:15pt}\
.bar{display:block;height:9px;border:1px solid #1a1d20;background:#fff;margin-top:3px}\
.bar i{display:block;height:100%;background:#5a6066}\
.say{border-left:3px solid #1a1d20;padding-left:26px}\
.foot{font-size:8pt;color:#4a5056}\
svg{display:block;max-width:100%;height:auto}\
.pair{display:table;width:100%;table-layout:fixed}\
.pair>div{display:table-cell;padding-right:10px;vertical-align:top}\
.pair>div:last-child{padding-right:0}\
@media screen{.sheet+.sheet{margin-top:32px;border-top:1px dashed #9aa0a6;padding-top:24px}}\
@page{margin:12mm 14mm}\
@media print{body{padding:0;max-width:none}.sheet+.sheet{break-before:page}\
tr,.verdict,figure,svg{break-inside:avoid}thead{display:table-header-group}\
.bar,.bar i{-webkit-print-color-adjust:exact;print-color-adjust:exact}}";

/// A whole page.
#[must_use]
pub fn page(title: &str, body: &str) -> String {
    let title = escaped(title);
    format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\"/>\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n\
         <title>{title}</title>\n<style>{STYLE}</style>\n</head>\n<body>\n{body}</body>\n</html>\n"
    )
}

/// Words as text, between tags or within quotes. Controls and marks that turn writing round are left out.
#[must_use]
pub fn escaped(words: &str) -> String {
    let mut safe = String::with_capacity(words.len());
    for c in words.chars() {
        match c {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\'' => safe.push_str("&#39;"),
            c if c.is_whitespace() => safe.push(' '),
            c if c.is_control() || turns_writing(c) => {}
            c => safe.push(c),
        }
    }
    safe
}

/// A table: heads, of which those of numbers stand right, and rows of words that get escaped.
#[must_use]
pub fn table(heads: &[(&str, bool)], rows: &[Vec<String>]) -> String {
    let class = |right: bool| if right { " class=\"n\"" } else { "" };
    let mut page = String::from("<table>\n<thead><tr>");
    for (head, right) in heads {
        let _ = write!(
            page,
            "<th scope=\"col\"{}>{}</th>",
            class(*right),
            escaped(head)
        );
    }
    page.push_str("</tr></thead>\n<tbody>\n");
    for row in rows {
        page.push_str("<tr>");
        for (cell, (_, right)) in row.iter().zip(heads) {
            let _ = write!(page, "<td{}>{}</td>", class(*right), escaped(cell));
        }
        page.push_str("</tr>\n");
    }
    page.push_str("</tbody>\n</table>\n");
    page
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_of_people_stay_words() {
        assert_eq!(
            escaped("<b onx='1'>\"&\"\u{7}\u{202e}\n李"),
            "&lt;b onx=&#39;1&#39;&gt;&quot;&amp;&quot; 李"
        );
    }
}
