//! What stands for what on the sheets, for those who hear them: a tree of headings, tables and paragraphs.

use pdf_writer::types::StructRole;
use pdf_writer::{Chunk, Finish, Ref, TextStr};

/// A branch or a leaf of the tree.
struct Node {
    role: StructRole,
    parent: usize,
    inside: Vec<Inside>,
    /// What a picture shows.
    about: Option<String>,
}

enum Inside {
    Node(usize),
    /// A piece of a page, by its number there.
    Piece {
        page: usize,
        number: i32,
    },
}

/// The tree of a document being set.
pub(super) struct Tags {
    nodes: Vec<Node>,
    /// The branch that what comes next is put into.
    at: usize,
    /// Leaves by page, in the order of their numbers.
    pieces: Vec<Vec<usize>>,
}

impl Tags {
    pub fn new() -> Self {
        let root = Node {
            role: StructRole::Document,
            parent: 0,
            inside: Vec::new(),
            about: None,
        };
        Self {
            nodes: vec![root],
            at: 0,
            pieces: Vec::new(),
        }
    }

    pub fn new_page(&mut self) {
        self.pieces.push(Vec::new());
    }

    fn add(&mut self, role: StructRole, about: Option<String>) -> usize {
        let added = self.nodes.len();
        self.nodes.push(Node {
            role,
            parent: self.at,
            inside: Vec::new(),
            about,
        });
        if let Some(branch) = self.nodes.get_mut(self.at) {
            branch.inside.push(Inside::Node(added));
        }
        added
    }

    /// Opens a branch.
    pub fn open(&mut self, role: StructRole) {
        self.at = self.add(role, None);
    }

    /// Closes the branch opened last.
    pub fn close(&mut self) {
        self.at = self.nodes.get(self.at).map_or(0, |branch| branch.parent);
    }

    /// A leaf on the last page, and the number of its piece there.
    pub fn leaf(&mut self, role: StructRole, about: Option<String>) -> i32 {
        let leaf = self.add(role, about);
        let page = self.pieces.len().saturating_sub(1);
        let mut number = 0;
        if let Some(pieces) = self.pieces.last_mut() {
            number = i32::try_from(pieces.len()).unwrap_or(i32::MAX);
            pieces.push(leaf);
        }
        if let Some(node) = self.nodes.get_mut(leaf) {
            node.inside.push(Inside::Piece { page, number });
        }
        number
    }

    /// Writes the tree's elements. Returns the root's reference, and the leaves' by page.
    pub fn written(
        &self,
        pdf: &mut Chunk,
        next: &mut Ref,
        tree: Ref,
        pages: &[Ref],
    ) -> (Ref, Vec<Vec<Ref>>) {
        let names: Vec<Ref> = self.nodes.iter().map(|_| next.bump()).collect();
        // The document is the first node, and every node's number is one of the list's.
        let name = |node: usize| names.get(node).copied().unwrap_or(tree);
        for (index, node) in self.nodes.iter().enumerate() {
            let mut element = pdf.struct_element(name(index));
            element.kind(node.role);
            element.parent(if index == 0 { tree } else { name(node.parent) });
            if let Some(about) = &node.about {
                element.alt(TextStr(about));
            }
            let mut inside = element.children();
            for one in &node.inside {
                match one {
                    Inside::Node(node) => {
                        inside.struct_element(name(*node));
                    }
                    Inside::Piece { page, number } => {
                        let mut piece = inside.marked_content_ref();
                        piece.marked_content_id(*number);
                        if let Some(page) = pages.get(*page) {
                            piece.page(*page);
                        }
                    }
                }
            }
            inside.finish();
        }
        let pieces = self.pieces.iter();
        let pieces = pieces.map(|page| page.iter().map(|leaf| name(*leaf)).collect());
        (name(0), pieces.collect())
    }
}
