//! Reads back a PDF as `runner` writes it: objects by the table of places, sheets, words and faces.

use std::collections::BTreeMap;

use miniz_oxide::inflate::decompress_to_vec_zlib;

pub struct Pdf {
    objects: BTreeMap<u32, Vec<u8>>,
    pub sheets: Vec<Sheet>,
    fonts: BTreeMap<String, Font>,
}

#[derive(Clone)]
pub struct Font {
    pub file: Vec<u8>,
    /// Letters by glyph, as a reader copies them.
    pub letters: BTreeMap<u16, char>,
    /// Widths by glyph, thousandths of the size.
    pub widths: BTreeMap<u16, f64>,
}

/// What is on a sheet; points, from its lower left corner.
#[derive(Default)]
pub struct Sheet {
    pub words: Vec<Words>,
    /// Ends of lines and corners of boxes.
    pub points: Vec<(f64, f64)>,
}

#[derive(Debug)]
pub struct Words {
    pub text: String,
    pub left: f64,
    pub base: f64,
    pub size: f64,
    /// Of what is seen of them: a space at the end is not.
    pub width: f64,
}

impl Sheet {
    pub fn text(&self) -> String {
        self.words.iter().map(|words| words.text.as_str()).collect()
    }
}

fn find(bytes: &[u8], words: &str) -> Option<usize> {
    bytes
        .windows(words.len())
        .position(|window| window == words.as_bytes())
}

/// The head of an object, before its stream.
fn head(object: &[u8]) -> String {
    let end = find(object, "\nstream\n").unwrap_or(object.len());
    String::from_utf8_lossy(&object[..end]).into_owned()
}

/// What follows a key.
fn after<'a>(head: &'a str, key: &str) -> &'a str {
    let (_, after) = head
        .split_once(key)
        .unwrap_or_else(|| panic!("{key} is not in {head}"));
    after.trim_start()
}

fn number<T: std::str::FromStr>(words: &str) -> T
where
    T::Err: std::fmt::Debug,
{
    let end = words.find(|c: char| !c.is_ascii_digit() && !".-".contains(c));
    words[..end.unwrap_or(words.len())].parse().unwrap()
}

impl Pdf {
    pub fn read(bytes: Vec<u8>) -> Self {
        assert!(bytes.starts_with(b"%PDF-1."));
        let tail = String::from_utf8_lossy(&bytes[bytes.len() - 200..]).into_owned();
        let table: usize = number(after(&tail, "startxref"));
        let places = String::from_utf8_lossy(&bytes[table..]).into_owned();
        let mut lines = places.lines();
        assert_eq!(lines.next(), Some("xref"));
        let count: usize = lines.next().unwrap()["0 ".len()..].parse().unwrap();
        let mut starts: Vec<(usize, u32)> = (0..)
            .zip(lines.take(count))
            .filter(|(_, line)| line.trim_end().ends_with('n'))
            .map(|(name, line)| (line[..10].parse().unwrap(), name))
            .collect();
        starts.sort_unstable();
        let mut objects = BTreeMap::new();
        for (index, (start, name)) in starts.iter().enumerate() {
            let end = starts.get(index + 1).map_or(table, |(next, _)| *next);
            let object = &bytes[*start..end];
            let opening = format!("{name} 0 obj\n");
            assert!(object.starts_with(opening.as_bytes()), "{opening}");
            objects.insert(*name, object[opening.len()..].to_vec());
        }
        let mut pdf = Self {
            objects,
            sheets: Vec::new(),
            fonts: BTreeMap::new(),
        };
        let catalog = pdf.head_of(number(after(&tail, "/Root")));
        let pages = pdf.head_of(number(after(&catalog, "/Pages")));
        let kids = after(&pages, "/Kids [").split(']').next().unwrap();
        let kids: Vec<u32> = kids
            .split(" 0 R")
            .map(str::trim)
            .filter(|it| !it.is_empty())
            .map(number)
            .collect();
        assert_eq!(kids.len(), number::<usize>(after(&pages, "/Count")));
        for kid in kids {
            let page = pdf.head_of(kid);
            let fonts = after(&page, "/Font <<").split(">>").next().unwrap();
            for name in ["R", "B"] {
                let font = pdf.read_font(number(after(fonts, &format!("/{name}"))));
                pdf.fonts.insert(name.to_owned(), font);
            }
            let content = pdf.stream(number(after(&page, "/Contents")));
            pdf.sheets.push(pdf.read_sheet(&content));
        }
        pdf
    }

    fn head_of(&self, name: u32) -> String {
        head(&self.objects[&name])
    }

    fn stream(&self, name: u32) -> Vec<u8> {
        let object = &self.objects[&name];
        let head = head(object);
        assert!(head.contains("/Filter /FlateDecode"));
        let length: usize = number(after(&head, "/Length"));
        let start = find(object, "\nstream\n").unwrap() + "\nstream\n".len();
        assert!(object[start + length..].starts_with(b"\nendstream"));
        decompress_to_vec_zlib(&object[start..start + length]).unwrap()
    }

    fn read_font(&self, name: u32) -> Font {
        let whole = self.head_of(name);
        let glyphs = self.head_of(number(after(&whole, "/DescendantFonts [")));
        let about = self.head_of(number(after(&glyphs, "/FontDescriptor")));
        let file = self.stream(number(after(&about, "/FontFile2")));
        let map = self.stream(number(after(&whole, "/ToUnicode")));
        let map = String::from_utf8(map).unwrap();
        let mut letters = BTreeMap::new();
        for part in map.split("beginbfchar").skip(1) {
            for line in part.split("endbfchar").next().unwrap().trim().lines() {
                let (glyph, letter) = line.split_once("> <").unwrap();
                let glyph = u16::from_str_radix(&glyph[1..], 16).unwrap();
                let letter = u32::from_str_radix(&letter[..letter.len() - 1], 16).unwrap();
                let earlier = letters.insert(glyph, char::from_u32(letter).unwrap());
                assert_eq!(earlier, None);
            }
        }
        // Triples: first glyph, last glyph, width.
        let widths = after(&glyphs, "/W [").split(']').next().unwrap();
        let widths: Vec<f64> = widths.split_whitespace().map(number).collect();
        let widths = widths.chunks(3).map(|it| {
            assert!(it.len() == 3 && it[0] == it[1]);
            (it[0] as u16, it[2])
        });
        Font {
            file,
            letters,
            widths: widths.collect(),
        }
    }

    fn read_sheet(&self, content: &[u8]) -> Sheet {
        let mut sheet = Sheet::default();
        let (mut font, mut size) = (None, 0.0);
        let mut at = (0.0, 0.0);
        let mut depth = 0;
        let mut waiting: Vec<Token> = Vec::new();
        for token in tokens(content) {
            let Token::Word(word) = &token else {
                waiting.push(token);
                continue;
            };
            let numbers: Vec<f64> = waiting.iter().filter_map(Token::number).collect();
            match word.as_str() {
                "Tf" => {
                    let name = waiting.iter().find_map(Token::name).unwrap();
                    font = self.fonts.get(name);
                    size = numbers[0];
                }
                "Td" => at = (numbers[0], numbers[1]),
                "Tj" => {
                    assert!(depth > 0, "words that stand in no piece of the tree");
                    let font = font.unwrap();
                    let Some(Token::Text(bytes)) = waiting.last() else {
                        panic!("Tj without words");
                    };
                    let glyphs = bytes.chunks(2).map(|it| u16::from_be_bytes([it[0], it[1]]));
                    let text: String = glyphs.clone().map(|it| font.letters[&it]).collect();
                    let seen = text.trim_end_matches(' ').chars().count();
                    let width: f64 = glyphs.take(seen).map(|it| font.widths[&it]).sum();
                    sheet.words.push(Words {
                        text,
                        left: at.0,
                        base: at.1,
                        size,
                        width: width * size / 1000.0,
                    });
                }
                "m" | "l" | "c" => {
                    let points = numbers.chunks(2).map(|it| (it[0], it[1]));
                    sheet.points.extend(points);
                }
                "re" => {
                    let (x, y) = (numbers[0], numbers[1]);
                    sheet.points.push((x, y));
                    sheet.points.push((x + numbers[2], y + numbers[3]));
                }
                "BDC" | "BMC" => depth += 1,
                "EMC" => depth -= 1,
                _ => {}
            }
            waiting.clear();
        }
        assert_eq!(depth, 0);
        sheet
    }

    pub fn font(&self, name: &str) -> &Font {
        &self.fonts[name]
    }

    /// How many elements of the tree have a role.
    pub fn elements(&self, role: &str) -> usize {
        let said = format!("/S /{role}");
        let heads = self.objects.values().map(|object| head(object));
        heads
            .filter(|head| {
                head.split(&said)
                    .skip(1)
                    .any(|it| !it.starts_with(char::is_alphanumeric))
            })
            .count()
    }

    /// Whether an object's head says something.
    pub fn says(&self, words: &str) -> bool {
        self.objects
            .values()
            .any(|object| head(object).contains(words))
    }
}

enum Token {
    Word(String),
    Number(f64),
    Name(String),
    Text(Vec<u8>),
    Other,
}

impl Token {
    fn number(&self) -> Option<f64> {
        match self {
            Self::Number(value) => Some(*value),
            _ => None,
        }
    }

    fn name(&self) -> Option<&str> {
        match self {
            Self::Name(name) => Some(name),
            _ => None,
        }
    }
}

fn tokens(content: &[u8]) -> Vec<Token> {
    let mut found = Vec::new();
    let mut at = 0;
    while at < content.len() {
        match content[at] {
            byte if byte.is_ascii_whitespace() => at += 1,
            b'(' => {
                let (text, end) = literal(content, at + 1);
                found.push(Token::Text(text));
                at = end;
            }
            b'<' if content[at..].starts_with(b"<<") => {
                found.push(Token::Other);
                at += 2;
            }
            b'<' => {
                let end = at + find(&content[at..], ">").unwrap();
                let digits = std::str::from_utf8(&content[at + 1..end]).unwrap();
                let bytes = (0..digits.len() / 2)
                    .map(|it| u8::from_str_radix(&digits[2 * it..2 * it + 2], 16).unwrap());
                found.push(Token::Text(bytes.collect()));
                at = end + 1;
            }
            b'>' | b'[' | b']' => {
                found.push(Token::Other);
                at += 1;
            }
            _ => {
                let rest = &content[at + 1..];
                let ends = |byte: &u8| byte.is_ascii_whitespace() || b"()<>[]/".contains(byte);
                let end = at + 1 + rest.iter().position(ends).unwrap_or(rest.len());
                let word = std::str::from_utf8(&content[at..end]).unwrap();
                found.push(match (word.strip_prefix('/'), word.parse()) {
                    (Some(name), _) => Token::Name(name.to_owned()),
                    (None, Ok(value)) => Token::Number(value),
                    (None, Err(_)) => Token::Word(word.to_owned()),
                });
                at = end;
            }
        }
    }
    found
}

/// A text in parentheses: its bytes, and where it ends.
fn literal(content: &[u8], mut at: usize) -> (Vec<u8>, usize) {
    let mut bytes = Vec::new();
    let mut open = 1;
    loop {
        let byte = content[at];
        at += 1;
        match byte {
            b'\\' => {
                let digits = content[at..].iter().take(3);
                let digits: Vec<u8> = digits
                    .take_while(|it| it.is_ascii_digit())
                    .copied()
                    .collect();
                if digits.is_empty() {
                    let letter = content[at];
                    at += 1;
                    bytes.push(match letter {
                        b'n' => b'\n',
                        b'r' => b'\r',
                        b't' => b'\t',
                        b'b' => 8,
                        b'f' => 12,
                        other => other,
                    });
                } else {
                    at += digits.len();
                    let value = digits
                        .iter()
                        .fold(0_u32, |sum, it| 8 * sum + u32::from(it - b'0'));
                    bytes.push(u8::try_from(value).unwrap());
                }
            }
            b'(' => {
                open += 1;
                bytes.push(byte);
            }
            b')' => {
                open -= 1;
                if open == 0 {
                    return (bytes, at);
                }
                bytes.push(byte);
            }
            other => bytes.push(other),
        }
    }
}
