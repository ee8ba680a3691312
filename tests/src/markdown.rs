//! Fenced blocks of a Markdown page, and stretches between two markers.

/// A fenced block.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Block {
    /// The line of its opening fence, from 1.
    pub line: usize,
    /// Its language: the first word behind the fence.
    pub language: String,
    /// What else stands behind the fence, at the commas.
    pub tags: Vec<String>,
    /// What stands between the fences.
    pub text: String,
}

impl Block {
    /// The value of `key=value` among the tags.
    #[must_use]
    pub fn tag(&self, key: &str) -> Option<&str> {
        self.tags.iter().find_map(|tag| tag.strip_prefix(key)?.strip_prefix('='))
    }

    /// Whether `word` is among the tags.
    #[must_use]
    pub fn has(&self, word: &str) -> bool {
        self.tags.iter().any(|tag| tag == word)
    }
}

/// Every fenced block of a page, in order.
#[must_use]
pub fn blocks(page: &str) -> Vec<Block> {
    let mut found = Vec::new();
    let mut open: Option<Block> = None;
    for (index, line) in page.lines().enumerate() {
        match (line.strip_prefix("```"), open.as_mut()) {
            (Some(_), Some(_)) => found.extend(open.take()),
            (Some(info), None) => {
                let mut words = info.trim().split(',').map(str::to_owned);
                let language = words.next().unwrap_or_default();
                let tags = words.collect();
                open = Some(Block { line: index + 1, language, tags, text: String::new() });
            }
            (None, Some(block)) => {
                block.text.push_str(line);
                block.text.push('\n');
            }
            (None, None) => {}
        }
    }
    found
}

/// What stands between `<!-- name -->` and `<!-- /name -->`, without the line breaks at its ends.
#[must_use]
pub fn between<'a>(page: &'a str, name: &str) -> Option<&'a str> {
    let open = format!("<!-- {name} -->");
    let (_, rest) = page.split_once(open.as_str())?;
    let (inside, _) = rest.split_once(&format!("<!-- /{name} -->"))?;
    Some(inside.trim_matches('\n'))
}

/// The page with `text` between the two markers.
#[must_use]
pub fn replaced(page: &str, name: &str, text: &str) -> Option<String> {
    let (open, close) = (format!("<!-- {name} -->"), format!("<!-- /{name} -->"));
    let (before, rest) = page.split_once(open.as_str())?;
    let (_, after) = rest.split_once(close.as_str())?;
    Some(format!("{before}{open}\n{text}\n{close}{after}"))
}
