//! Which type names mean more than one thing in the core.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use syn::Item;

/// Each name that two files define or more, with those files.
pub(crate) fn defined_twice(root: &Path, sources: &[PathBuf]) -> BTreeMap<String, Vec<String>> {
    let mut names: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for path in sources {
        let text = fs::read_to_string(path).expect("a source");
        let file = syn::parse_file(&text).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
        let place = path.strip_prefix(root).expect("below the root").display().to_string().replace('\\', "/");
        let mut own: Vec<String> = types(&file.items);
        own.sort_unstable();
        own.dedup();
        own.into_iter().for_each(|name| names.entry(name).or_default().push(place.clone()));
    }
    names.retain(|_, places| places.len() > 1);
    names
}

/// The types that a list of items defines, modules within the file included, tests left out.
fn types(items: &[Item]) -> Vec<String> {
    let is_test = |attributes: &[syn::Attribute]| {
        attributes.iter().any(|attribute| {
            attribute.path().is_ident("cfg")
                && attribute.parse_args::<syn::Path>().is_ok_and(|path| path.is_ident("test"))
        })
    };
    let mut names = Vec::new();
    for item in items {
        match item {
            Item::Struct(item) => names.push(item.ident.to_string()),
            Item::Enum(item) => names.push(item.ident.to_string()),
            Item::Trait(item) => names.push(item.ident.to_string()),
            Item::Type(item) => names.push(item.ident.to_string()),
            Item::Union(item) => names.push(item.ident.to_string()),
            Item::Mod(item) if !is_test(&item.attrs) => {
                names.extend(item.content.iter().flat_map(|(_, items)| types(items)));
            }
            _ => {}
        }
    }
    names
}
