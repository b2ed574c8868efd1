//! Writes all changes of a list by `cargo mutants --list --json` into one copy of the
//! project, each behind a switch, so that the copy is compiled once: with `MUTANT=17`
//! the 17th change of the list is made, without it none.
//!
//! `rewrite LIST EXCLUDED PROJECT`: the list, a file with the numbers of changes to leave
//! out, and the copy, in which files are changed in place. Prints as JSON the pieces
//! written, each with its place in the new file and the changes it belongs to, and the
//! changes that were not made.

use proc_macro2::{LineColumn, Span};
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};
use syn::spanned::Spanned;
use syn::visit::{self, Visit};
use syn::{Arm, BinOp, Block, Expr, ExprStruct, ImplItemFn, ItemFn, TraitItemFn, UnOp};

type Place = (usize, usize);

struct Change {
    id: usize,
    genre: String,
    from: Place,
    replacement: String,
}

/// A text put in at a byte of the file, in place of `skip` bytes.
struct Piece {
    at: usize,
    skip: usize,
    /// Ends stand before beginnings, inner ends before outer ones.
    rank: (bool, i64),
    text: String,
    ids: Vec<usize>,
}

struct Rewriter<'a> {
    source: &'a str,
    lines: Vec<usize>,
    changes: &'a [Change],
    pieces: Vec<Piece>,
    /// Byte ranges of changed expressions, for messages about what they hold.
    wholes: Vec<(usize, usize, Vec<usize>)>,
    done: BTreeSet<usize>,
    depth: i64,
    /// Operators between conditions one of which is a `let`.
    chained: BTreeSet<Place>,
}

fn place(at: LineColumn) -> Place {
    (at.line, at.column + 1)
}

impl Rewriter<'_> {
    fn byte(&self, at: LineColumn) -> usize {
        let start = self.lines[at.line - 1];
        let line = &self.source[start..];
        start
            + line
                .char_indices()
                .nth(at.column)
                .map_or(line.len(), |(byte, _)| byte)
    }

    fn text(&self, span: Span) -> &str {
        &self.source[self.byte(span.start())..self.byte(span.end())]
    }

    /// Changes of a kind at a place that are not made yet.
    fn here(&self, genre: &str, span: Span) -> Vec<(usize, String)> {
        let from = place(span.start());
        self.changes
            .iter()
            .filter(|change| change.genre == genre && change.from == from)
            .map(|change| (change.id, change.replacement.clone()))
            .collect()
    }

    fn piece(&mut self, at: usize, skip: usize, ends: bool, text: String, ids: &[usize]) {
        let depth = if ends { -self.depth } else { self.depth };
        self.done.extend(ids);
        self.pieces.push(Piece {
            at,
            skip,
            rank: (!ends, depth),
            text,
            ids: ids.to_vec(),
        });
    }

    /// `if on(1) { a } else if on(2) { b } else { plain }`, in pieces at one place.
    fn branches(&mut self, at: usize, made: &[(usize, String)], plain: &str, close: &str) {
        for (id, text) in made {
            self.piece(
                at,
                0,
                true,
                format!("if {} {{ {text} }} else ", on(*id)),
                &[*id],
            );
        }
        let ids: Vec<usize> = made.iter().map(|(id, _)| *id).collect();
        self.piece(at, 0, true, format!("{{ {plain} }} {close}"), &ids);
    }

    fn binary(&mut self, binary: &syn::ExprBinary) {
        let op = binary.op.span();
        let made = self.here("BinaryOperator", op);
        if made.is_empty() || self.chained.contains(&place(op.start())) {
            return;
        }
        let ids: Vec<usize> = made.iter().map(|(id, _)| *id).collect();
        let (left, right) = (binary.left.span(), binary.right.span());
        let (start, end) = (self.byte(left.start()), self.byte(right.end()));
        let (op_at, op_end) = (self.byte(op.start()), self.byte(op.end()));
        let skip = op_end - op_at;
        let plain = self.text(op).to_owned();
        self.wholes.push((start, end, ids.clone()));
        match binary.op {
            BinOp::And(_) | BinOp::Or(_) => {
                // The right side is worked out only where it was: after `true` for `&&`,
                // after `false` for `||`.
                let test = if matches!(binary.op, BinOp::And(_)) {
                    "!="
                } else {
                    "=="
                };
                self.piece(start, 0, false, "(match ".to_owned(), &ids);
                let between = format!(" {{ __l => if __l {test} {} {{ ", on(ids[0]));
                self.piece(op_at, skip, true, between, &ids);
                self.piece(end, 0, true, " } else { __l } })".to_owned(), &ids);
            }
            BinOp::Eq(_)
            | BinOp::Ne(_)
            | BinOp::Lt(_)
            | BinOp::Le(_)
            | BinOp::Gt(_)
            | BinOp::Ge(_) => {
                self.piece(start, 0, false, "(match (&(".to_owned(), &ids);
                self.piece(op_at, skip, true, "), &(".to_owned(), &ids);
                self.piece(end, 0, true, ")) { (__l, __r) => ".to_owned(), &ids);
                self.operators(end, &made, &plain, ("__l", "__r"));
            }
            BinOp::Add(_)
            | BinOp::Sub(_)
            | BinOp::Mul(_)
            | BinOp::Div(_)
            | BinOp::Rem(_)
            | BinOp::BitAnd(_)
            | BinOp::BitOr(_)
            | BinOp::BitXor(_)
            | BinOp::Shl(_)
            | BinOp::Shr(_) => {
                self.piece(start, 0, false, "(match ((".to_owned(), &ids);
                self.piece(op_at, skip, true, "), (".to_owned(), &ids);
                self.piece(end, 0, true, ")) { (__l, __r) => ".to_owned(), &ids);
                self.operators(end, &made, &plain, ("__l", "__r"));
            }
            _ => {
                self.piece(start, 0, false, "(match (&mut (".to_owned(), &ids);
                self.piece(op_at, skip, true, "), (".to_owned(), &ids);
                self.piece(end, 0, true, ")) { (__l, __r) => ".to_owned(), &ids);
                self.operators(end, &made, &plain, ("*__l", "__r"));
            }
        }
    }

    fn operators(&mut self, end: usize, made: &[(usize, String)], plain: &str, of: (&str, &str)) {
        let (l, r) = of;
        let made: Vec<(usize, String)> = made
            .iter()
            .map(|(id, op)| (*id, format!("{l} {op} {r}")))
            .collect();
        self.branches(end, &made, &format!("{l} {plain} {r}"), "})");
    }

    fn unary(&mut self, unary: &syn::ExprUnary) {
        let op = unary.op.span();
        let Some((id, _)) = self.here("UnaryOperator", op).into_iter().next() else {
            return;
        };
        let (start, end) = (self.byte(op.start()), self.byte(unary.expr.span().end()));
        self.wholes.push((start, end, vec![id]));
        match unary.op {
            UnOp::Not(_) => {
                self.piece(start, 1, false, format!("({} ^ !", on(id)), &[id]);
                self.piece(end, 0, true, ")".to_owned(), &[id]);
            }
            UnOp::Neg(_) => {
                self.piece(start, 1, false, "(match (".to_owned(), &[id]);
                let rest = format!(") {{ __l => if {} {{ __l }} else {{ -__l }} }})", on(id));
                self.piece(end, 0, true, rest, &[id]);
            }
            _ => {}
        }
    }

    fn arm(&mut self, arm: &Arm) {
        let arm_at = self.here("MatchArm", arm.span());
        let deleted = arm_at.first().map(|(id, _)| *id);
        if let Some((_, guard)) = &arm.guard {
            let (start, end) = (
                self.byte(guard.span().start()),
                self.byte(guard.span().end()),
            );
            if let Some(id) = deleted {
                self.piece(start, 0, false, "(".to_owned(), &[id]);
                self.piece(end, 0, true, format!(") && !{}", on(id)), &[id]);
            }
            self.depth += 1;
            for (id, replacement) in self.here("MatchArmGuard", guard.span()) {
                let open = if replacement == "true" {
                    format!("({} || (", on(id))
                } else {
                    format!("(!{} && (", on(id))
                };
                self.piece(start, 0, false, open, &[id]);
                self.piece(end, 0, true, "))".to_owned(), &[id]);
                self.depth += 1;
            }
        } else if let Some(id) = deleted {
            let end = self.byte(arm.pat.span().end());
            self.piece(end, 0, true, format!(" if !{}", on(id)), &[id]);
        }
    }

    fn body(&mut self, block: &Block) {
        let Some(first) = block.stmts.first() else {
            return;
        };
        let made = self.here("FnValue", first.span());
        let at = self.byte(block.brace_token.span.open().end());
        for (id, value) in made {
            let text = format!(
                "\n#[allow(unreachable_code)] if {} {{ return {value}; }}\n",
                on(id)
            );
            self.piece(at, 0, true, text, &[id]);
        }
    }

    fn fields(&mut self, made: &ExprStruct) {
        let Some(rest) = &made.rest else { return };
        let base = match self.text(rest.span()) {
            "Default::default()" => format!("{}::default()", self.text(made.path.span())),
            other => other.to_owned(),
        };
        for field in &made.fields {
            let Some((id, _)) = self.here("StructField", field.span()).into_iter().next() else {
                continue;
            };
            let syn::Member::Named(name) = &field.member else {
                continue;
            };
            let (start, end) = (
                self.byte(field.expr.span().start()),
                self.byte(field.expr.span().end()),
            );
            let head = if field.colon_token.is_none() {
                format!("{name}: ")
            } else {
                String::new()
            };
            let open = format!("{head}(if {} {{ ({base}).{name} }} else {{ ", on(id));
            self.piece(start, 0, false, open, &[id]);
            self.piece(end, 0, true, " })".to_owned(), &[id]);
        }
    }

    /// The operators of a chain of conditions, if one of them is a `let`.
    fn chain(&mut self, binary: &syn::ExprBinary) {
        fn walk(expr: &Expr, ops: &mut Vec<Place>, any: &mut bool) {
            match expr {
                Expr::Binary(binary) if matches!(binary.op, BinOp::And(_)) => {
                    ops.push(place(binary.op.span().start()));
                    walk(&binary.left, ops, any);
                    walk(&binary.right, ops, any);
                }
                Expr::Let(_) => *any = true,
                _ => {}
            }
        }
        let (mut ops, mut any) = (Vec::new(), false);
        walk(&Expr::Binary(binary.clone()), &mut ops, &mut any);
        if any {
            self.chained.extend(ops);
        }
    }
}

fn on(id: usize) -> String {
    format!("crate::mutant::on({id})")
}

fn is_test(attributes: &[syn::Attribute]) -> bool {
    attributes.iter().any(|attribute| match &attribute.meta {
        syn::Meta::Path(path) => path.is_ident("test"),
        syn::Meta::List(list) => list.path.is_ident("cfg") && list.tokens.to_string() == "test",
        syn::Meta::NameValue(_) => false,
    })
}

impl<'ast> Visit<'ast> for Rewriter<'_> {
    fn visit_expr(&mut self, expr: &'ast Expr) {
        self.depth += 10;
        match expr {
            Expr::Binary(binary) => {
                self.chain(binary);
                self.binary(binary);
            }
            Expr::Unary(unary) => self.unary(unary),
            Expr::Struct(made) => self.fields(made),
            _ => {}
        }
        visit::visit_expr(self, expr);
        self.depth -= 10;
    }

    fn visit_arm(&mut self, arm: &'ast Arm) {
        let depth = self.depth;
        self.arm(arm);
        visit::visit_arm(self, arm);
        self.depth = depth;
    }

    fn visit_item_mod(&mut self, module: &'ast syn::ItemMod) {
        if !is_test(&module.attrs) {
            visit::visit_item_mod(self, module);
        }
    }

    fn visit_item_fn(&mut self, function: &'ast ItemFn) {
        if !is_test(&function.attrs) {
            self.body(&function.block);
            visit::visit_item_fn(self, function);
        }
    }

    fn visit_impl_item_fn(&mut self, function: &'ast ImplItemFn) {
        self.body(&function.block);
        visit::visit_impl_item_fn(self, function);
    }

    fn visit_trait_item_fn(&mut self, function: &'ast TraitItemFn) {
        if let Some(block) = &function.default {
            self.body(block);
        }
        visit::visit_trait_item_fn(self, function);
    }

    fn visit_item_const(&mut self, _: &'ast syn::ItemConst) {}
    fn visit_item_static(&mut self, _: &'ast syn::ItemStatic) {}
}

fn number(value: &Value) -> usize {
    value.as_u64().map_or(0, |n| n as usize)
}

fn main() {
    let arguments: Vec<String> = std::env::args().collect();
    let [_, list, excluded, project] = &arguments[..] else {
        panic!("rewrite LIST EXCLUDED PROJECT");
    };
    let read = |path: &str| std::fs::read_to_string(path).unwrap_or_default();
    let list: Vec<Value> = serde_json::from_str(&read(list)).expect("a list of changes");
    let excluded: BTreeSet<usize> = read(excluded)
        .split_whitespace()
        .filter_map(|id| id.parse().ok())
        .collect();
    let mut by_file: BTreeMap<&str, Vec<Change>> = BTreeMap::new();
    for (at, value) in list.iter().enumerate() {
        if excluded.contains(&(at + 1)) {
            continue;
        }
        let start = &value["span"]["start"];
        by_file
            .entry(value["file"].as_str().unwrap_or_default())
            .or_default()
            .push(Change {
                id: at + 1,
                genre: value["genre"].as_str().unwrap_or_default().to_owned(),
                from: (number(&start["line"]), number(&start["column"])),
                replacement: value["replacement"].as_str().unwrap_or_default().to_owned(),
            });
    }
    let mut places = Vec::new();
    let mut missing = Vec::new();
    for (file, changes) in &by_file {
        let path = format!("{project}/{file}");
        let source = read(&path);
        let mut lines = vec![0];
        lines.extend(source.match_indices('\n').map(|(at, _)| at + 1));
        let mut rewriter = Rewriter {
            source: &source,
            lines,
            changes,
            pieces: Vec::new(),
            wholes: Vec::new(),
            done: BTreeSet::new(),
            depth: 0,
            chained: BTreeSet::new(),
        };
        rewriter.visit_file(&syn::parse_file(&source).expect("a Rust file"));
        missing.extend(
            changes
                .iter()
                .map(|change| change.id)
                .filter(|id| !rewriter.done.contains(id)),
        );
        let mut pieces = rewriter.pieces;
        pieces.sort_by_key(|piece| (piece.at, piece.rank));
        let (mut out, mut at) = (String::new(), 0);
        // Where a byte of the source came to stand.
        let mut moved: Vec<(usize, usize)> = Vec::new();
        for piece in &pieces {
            out.push_str(&source[at..piece.at]);
            moved.push((piece.at, out.len()));
            let start = out.len();
            out.push_str(&piece.text);
            places.push(json!({
                "file": file, "start": start, "end": out.len(), "ids": piece.ids, "whole": false,
            }));
            at = piece.at + piece.skip;
        }
        out.push_str(&source[at..]);
        let to = |byte: usize| {
            let before = moved.iter().rfind(|(from, _)| *from <= byte);
            before.map_or(byte, |(from, to)| to + (byte - from))
        };
        for (start, end, ids) in &rewriter.wholes {
            places.push(json!({
                "file": file, "start": to(*start), "end": to(*end), "ids": ids, "whole": true,
            }));
        }
        std::fs::write(&path, out).expect("the file to be written");
    }
    println!("{}", json!({"places": places, "missing": missing}));
}
