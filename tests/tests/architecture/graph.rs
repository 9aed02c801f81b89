//! Which file of a crate uses which other: every path in the source, followed through imports and re-exports to the
//! file that defines the name.
//!
//! A re-export is no use, nor is a path that ends at a module. Of methods only those count that are in an `impl` outside
//! the file of their type and whose name no other method has: who calls one in the same room uses the file it is in.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

use proc_macro2::{TokenStream, TokenTree};
use syn::visit::{self, Visit};

/// Files by their place below the crate's root, and for each arrow the names that make it.
#[derive(Default)]
pub(crate) struct Graph {
    pub(crate) files: Vec<String>,
    pub(crate) arrows: BTreeMap<(usize, usize), BTreeSet<String>>,
}

impl Graph {
    /// Of the crate whose `lib.rs` is in this folder.
    pub(crate) fn of(root: &Path) -> Self {
        let mut reader = Reader { root: root.to_path_buf(), ..Reader::default() };
        reader.file(&root.join("lib.rs"), root, None);
        reader.graph()
    }

    /// Without the arrows that only the calls of methods make.
    pub(crate) fn by_paths(mut self) -> Self {
        self.arrows.retain(|_, names| names.iter().any(|name| !name.starts_with('.')));
        self
    }

    /// Files that reach each other, and of each such group the shortest way round.
    pub(crate) fn circles(&self) -> Vec<(Vec<usize>, Vec<usize>)> {
        let count = self.files.len();
        let reach: Vec<Vec<Option<usize>>> = (0..count).map(|from| self.paths_from(from)).collect();
        let mut seen = vec![false; count];
        let mut circles = Vec::new();
        for one in 0..count {
            if seen[one] || reach[one][one].is_none() {
                continue;
            }
            let group: Vec<usize> =
                (0..count).filter(|&two| reach[one][two].is_some() && reach[two][one].is_some()).collect();
            group.iter().for_each(|&file| seen[file] = true);
            let shortest = group.iter().map(|&file| self.way_round(file, &reach[file])).min_by_key(Vec::len);
            circles.push((group, shortest.unwrap_or_default()));
        }
        circles
    }

    /// For each file the one before it on the shortest way from `from`.
    fn paths_from(&self, from: usize) -> Vec<Option<usize>> {
        let mut before = vec![None; self.files.len()];
        let mut open = std::collections::VecDeque::from([from]);
        while let Some(at) = open.pop_front() {
            for (&(_, to), _) in self.arrows.range((at, 0)..(at + 1, 0)) {
                if before[to].is_none() {
                    before[to] = Some(at);
                    open.push_back(to);
                }
            }
        }
        before
    }

    fn way_round(&self, file: usize, before: &[Option<usize>]) -> Vec<usize> {
        let mut way = vec![file];
        let mut at = before[file];
        while let Some(here) = at.filter(|&here| here != file) {
            way.push(here);
            at = before[here];
        }
        way.reverse();
        way
    }
}

#[derive(Default)]
struct Module {
    file: usize,
    parent: Option<usize>,
    children: BTreeMap<String, usize>,
    items: BTreeSet<String>,
    imports: BTreeMap<String, Vec<String>>,
    globs: Vec<Vec<String>>,
    /// Paths in its code and its private imports.
    paths: Vec<Vec<String>>,
    /// Methods called by name.
    calls: BTreeSet<String>,
    /// Inherent methods, each with the path of its type.
    methods: Vec<(Vec<String>, String)>,
    /// Items of it are made by macros.
    calls_macros: bool,
    /// Methods of traits and their implementations.
    trait_methods: Vec<String>,
}

#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Found {
    Module(usize),
    /// The file that defines it.
    Item(usize),
}

#[derive(Default)]
struct Reader {
    root: PathBuf,
    files: Vec<String>,
    modules: Vec<Module>,
}

impl Reader {
    /// Reads a file and those of its child modules in `folder`.
    fn file(&mut self, path: &Path, folder: &Path, parent: Option<usize>) -> usize {
        let text = fs::read_to_string(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
        let parsed = syn::parse_file(&text).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
        let name = path.strip_prefix(&self.root).expect("below the root").to_string_lossy().into_owned();
        self.files.push(name);
        let module = Module { file: self.files.len() - 1, parent, ..Module::default() };
        self.modules.push(module);
        let module = self.modules.len() - 1;
        self.items(module, &parsed.items, folder);
        module
    }

    fn items(&mut self, module: usize, items: &[syn::Item], folder: &Path) {
        for item in items {
            if is_test(attributes(item)) {
                continue;
            }
            match item {
                syn::Item::Mod(child) => {
                    let name = child.ident.to_string();
                    let inner = folder.join(&name);
                    let at = if let Some((_, items)) = &child.content {
                        let file = self.modules[module].file;
                        self.modules.push(Module { file, parent: Some(module), ..Module::default() });
                        let at = self.modules.len() - 1;
                        self.items(at, items, &inner);
                        at
                    } else if inner.is_dir() {
                        self.file(&inner.join("mod.rs"), &inner, Some(module))
                    } else {
                        self.file(&inner.with_extension("rs"), &inner, Some(module))
                    };
                    self.modules[module].children.insert(name, at);
                }
                other => Walker { module: &mut self.modules[module] }.visit_item(other),
            }
        }
    }

    fn room(&self, file: usize) -> &str {
        self.files[file].split('/').next().unwrap_or_default()
    }

    fn parent(&self, module: usize) -> usize {
        self.modules[module].parent.unwrap_or(0)
    }

    fn resolve(&self, module: usize, path: &[String], depth: usize) -> Option<Found> {
        let (first, rest) = path.split_first()?;
        let mut found = match first.as_str() {
            "crate" => Found::Module(0),
            "self" => Found::Module(module),
            "super" => Found::Module(self.parent(module)),
            name => self.name(module, name, !rest.is_empty(), depth)?,
        };
        for (at, name) in rest.iter().enumerate() {
            let Found::Module(inner) = found else { break };
            found = if name == "super" {
                Found::Module(self.parent(inner))
            } else if let Some(found) = self.name(inner, name, at + 1 < rest.len(), depth) {
                found
            } else {
                // A name that a macro makes.
                let makes = self.modules.get(inner).filter(|module| module.calls_macros)?;
                Found::Item(makes.file)
            };
        }
        Some(found)
    }

    /// What a name means in a module; as a module first where more of the path follows.
    fn name(&self, module: usize, name: &str, more: bool, depth: usize) -> Option<Found> {
        if depth > 8 {
            return None;
        }
        let here = &self.modules[module];
        let child = here.children.get(name).map(|&child| Found::Module(child));
        let item = here.items.contains(name).then_some(Found::Item(here.file));
        let import = || here.imports.get(name).and_then(|path| self.resolve(module, path, depth + 1));
        let glob = || {
            here.globs.iter().find_map(|path| match self.resolve(module, path, depth + 1)? {
                Found::Module(other) if other != module => self.name(other, name, more, depth + 1),
                Found::Module(_) | Found::Item(_) => None,
            })
        };
        if more { child.or(item) } else { item }.or_else(import).or(child).or_else(glob)
    }

    fn graph(self) -> Graph {
        let mut named = BTreeMap::<&str, BTreeSet<(usize, bool)>>::new();
        for (at, module) in self.modules.iter().enumerate() {
            for (of, name) in &module.methods {
                let foreign = match self.resolve(at, of, 0) {
                    Some(Found::Item(home)) => home != module.file,
                    _ => false,
                };
                named.entry(name).or_default().insert((module.file, foreign));
            }
            for name in &module.trait_methods {
                named.entry(name).or_default().insert((module.file, false));
            }
        }
        let mut arrows = BTreeMap::<_, BTreeSet<String>>::new();
        for (at, module) in self.modules.iter().enumerate() {
            let mut add = |to: usize, name: &str| {
                if to != module.file {
                    arrows.entry((module.file, to)).or_default().insert(name.to_string());
                }
            };
            for path in &module.paths {
                if let Some(Found::Item(file)) = self.resolve(at, path, 0) {
                    add(file, &path.join("::"));
                }
            }
            for call in &module.calls {
                let only = named.get(call.as_str()).filter(|of| of.len() == 1).and_then(|of| of.first());
                if let Some(&(file, true)) = only
                    && self.room(file) == self.room(module.file)
                {
                    add(file, &format!(".{call}()"));
                }
            }
        }
        Graph { files: self.files, arrows }
    }
}

/// Collects what one module's code names.
struct Walker<'a> {
    module: &'a mut Module,
}

impl Walker<'_> {
    fn import(&mut self, tree: &syn::UseTree, mut path: Vec<String>, private: bool) {
        let (name, last) = match tree {
            syn::UseTree::Path(inner) => {
                path.push(inner.ident.to_string());
                return self.import(&inner.tree, path, private);
            }
            syn::UseTree::Group(group) => {
                return group.items.iter().for_each(|tree| self.import(tree, path.clone(), private));
            }
            syn::UseTree::Glob(_) => {
                self.module.globs.push(path);
                return;
            }
            syn::UseTree::Name(inner) => (inner.ident.to_string(), inner.ident.to_string()),
            syn::UseTree::Rename(inner) => (inner.rename.to_string(), inner.ident.to_string()),
        };
        if last != "self" {
            path.push(last.clone());
        }
        let name = if name == "self" { path.last().cloned().unwrap_or_default() } else { name };
        if private {
            self.module.paths.push(path.clone());
        }
        // `use x::x` in the module that declares `x`: the import is what the name means, unless it is the module itself.
        if path != [name.clone()] {
            self.module.imports.insert(name, path);
        }
    }

    /// Paths in what a macro is given: `a`, `a::b`, `.name(`.
    fn tokens(&mut self, tokens: TokenStream) {
        let mut path: Vec<String> = Vec::new();
        let (mut colons, mut dot) = (0, false);
        for token in tokens {
            match token {
                TokenTree::Ident(name) if colons == 2 => path.push(name.to_string()),
                TokenTree::Ident(name) => {
                    self.module.paths.extend((!path.is_empty()).then(|| std::mem::take(&mut path)));
                    if dot {
                        self.module.calls.insert(name.to_string());
                    } else {
                        path = vec![name.to_string()];
                    }
                }
                TokenTree::Punct(mark) if mark.as_char() == ':' => {
                    colons += 1;
                    continue;
                }
                TokenTree::Punct(mark) => {
                    self.module.paths.extend((!path.is_empty()).then(|| std::mem::take(&mut path)));
                    dot = mark.as_char() == '.';
                    colons = 0;
                    continue;
                }
                TokenTree::Group(group) => self.tokens(group.stream()),
                TokenTree::Literal(_) => {}
            }
            (colons, dot) = (0, false);
        }
        self.module.paths.extend((!path.is_empty()).then_some(path));
    }
}

impl<'ast> Visit<'ast> for Walker<'_> {
    fn visit_item(&mut self, item: &'ast syn::Item) {
        if is_test(attributes(item)) {
            return;
        }
        let name = match item {
            syn::Item::Const(item) => Some(&item.ident),
            syn::Item::Enum(item) => Some(&item.ident),
            syn::Item::Fn(item) => Some(&item.sig.ident),
            syn::Item::Macro(item) => item.ident.as_ref(),
            syn::Item::Static(item) => Some(&item.ident),
            syn::Item::Struct(item) => Some(&item.ident),
            syn::Item::Trait(item) => Some(&item.ident),
            syn::Item::Type(item) => Some(&item.ident),
            _ => None,
        };
        self.module.items.extend(name.map(ToString::to_string));
        self.module.calls_macros |= matches!(item, syn::Item::Macro(item) if item.ident.is_none());
        visit::visit_item(self, item);
    }

    fn visit_item_use(&mut self, item: &'ast syn::ItemUse) {
        self.import(&item.tree, Vec::new(), matches!(item.vis, syn::Visibility::Inherited));
    }

    fn visit_item_impl(&mut self, item: &'ast syn::ItemImpl) {
        for inner in &item.items {
            let syn::ImplItem::Fn(method) = inner else { continue };
            if is_test(&method.attrs) {
                continue;
            }
            let name = method.sig.ident.to_string();
            match &*item.self_ty {
                syn::Type::Path(of) if item.trait_.is_none() => {
                    self.module.methods.push((segments(&of.path), name));
                }
                _ => self.module.trait_methods.push(name),
            }
        }
        visit::visit_item_impl(self, item);
    }

    fn visit_impl_item(&mut self, item: &'ast syn::ImplItem) {
        let attributes = match item {
            syn::ImplItem::Fn(item) => &item.attrs[..],
            syn::ImplItem::Const(item) => &item.attrs,
            _ => &[],
        };
        if !is_test(attributes) {
            visit::visit_impl_item(self, item);
        }
    }

    fn visit_trait_item_fn(&mut self, item: &'ast syn::TraitItemFn) {
        self.module.trait_methods.push(item.sig.ident.to_string());
        visit::visit_trait_item_fn(self, item);
    }

    fn visit_expr_method_call(&mut self, call: &'ast syn::ExprMethodCall) {
        self.module.calls.insert(call.method.to_string());
        visit::visit_expr_method_call(self, call);
    }

    fn visit_path(&mut self, path: &'ast syn::Path) {
        let path_segments = segments(path);
        if let [_, .., method] = &path_segments[..] {
            self.module.calls.insert(method.clone());
        }
        self.module.paths.push(path_segments);
        visit::visit_path(self, path);
    }

    fn visit_macro(&mut self, call: &'ast syn::Macro) {
        self.visit_path(&call.path);
        self.tokens(call.tokens.clone());
    }

    // Attributes and links in documentation are not code.
    fn visit_attribute(&mut self, _: &'ast syn::Attribute) {}
}

fn segments(path: &syn::Path) -> Vec<String> {
    path.segments.iter().map(|segment| segment.ident.to_string()).collect()
}

fn is_test(attributes: &[syn::Attribute]) -> bool {
    attributes.iter().any(|attribute| {
        attribute.path().is_ident("cfg")
            && attribute.parse_args::<syn::Path>().is_ok_and(|path| path.is_ident("test"))
    })
}

fn attributes(item: &syn::Item) -> &[syn::Attribute] {
    match item {
        syn::Item::Const(item) => &item.attrs,
        syn::Item::Enum(item) => &item.attrs,
        syn::Item::Fn(item) => &item.attrs,
        syn::Item::Impl(item) => &item.attrs,
        syn::Item::Mod(item) => &item.attrs,
        syn::Item::Struct(item) => &item.attrs,
        syn::Item::Type(item) => &item.attrs,
        syn::Item::Use(item) => &item.attrs,
        _ => &[],
    }
}
