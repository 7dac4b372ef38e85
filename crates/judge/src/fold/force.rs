//! Which events of a set are in force: doubles dropped, what was taken back left out.

use std::collections::{BTreeMap, BTreeSet};

use uuid::Uuid;

use crate::event::{DeviceId, Event, Role, What};

/// The events in force, and what was not allowed to take effect.
pub(super) struct InForce<'a> {
    /// In order.
    pub(super) events: Vec<&'a Event>,
    /// An undo of another device's event by someone who is not the lead: (undo, event).
    pub(super) disputed_undos: Vec<(&'a Event, Uuid)>,
    /// Events that only the lead may record, from someone else; and numbers used twice.
    pub(super) refused: Vec<Uuid>,
}

/// Sorts out a set of events, doubles and all.
pub(super) fn in_force<'a>(
    events: impl IntoIterator<Item = &'a Event>,
    ruled_undos: &BTreeMap<Uuid, bool>,
) -> InForce<'a> {
    let mut by_id: BTreeMap<Uuid, &Event> = BTreeMap::new();
    for event in events {
        // The same event may come twice; should two differ under one id, one rule picks for all.
        by_id
            .entry(event.id)
            .and_modify(|kept| {
                if event.to_line() < kept.to_line() {
                    *kept = event;
                }
            })
            .or_insert(event);
    }
    let mut refused = Vec::new();
    let mut numbers: BTreeSet<(&DeviceId, u64)> = BTreeSet::new();
    let known: BTreeMap<Uuid, &Event> = by_id
        .into_iter()
        .filter(|(id, event)| {
            let leads = !event.what.is_the_leads() || event.role == Role::Lead;
            let keep = leads && numbers.insert((&event.device, event.seq));
            if !keep {
                refused.push(*id);
            }
            keep
        })
        .collect();
    let mut undos: BTreeMap<Uuid, Vec<Uuid>> = BTreeMap::new();
    let mut disputed_undos = Vec::new();
    for event in known.values() {
        let What::Undo { event: target } = event.what else {
            continue;
        };
        let own = known
            .get(&target)
            .is_none_or(|undone| undone.device == event.device);
        let ruled = ruled_undos.get(&event.id).copied();
        if own || event.role == Role::Lead || ruled == Some(true) {
            undos.entry(target).or_default().push(event.id);
        } else {
            disputed_undos.push((*event, target));
        }
    }
    let mut verdicts: BTreeMap<Uuid, bool> = BTreeMap::new();
    for id in known.keys() {
        stands(*id, &undos, &mut verdicts);
    }
    let is_in = |id: &Uuid| verdicts.get(id).copied().unwrap_or(true);
    let mut events: Vec<&Event> = known.values().filter(|e| is_in(&e.id)).copied().collect();
    events.sort_by(|a, b| a.key().cmp(&b.key()));
    disputed_undos.retain(|(undo, target)| is_in(&undo.id) && is_in(target));
    InForce {
        events,
        disputed_undos,
        refused,
    }
}

/// Works out whether an event stands: it does unless an undo that stands takes it back. Two that
/// take each other back both fall. Walks without recursion, so that a hostile chain costs no stack.
fn stands(id: Uuid, undos: &BTreeMap<Uuid, Vec<Uuid>>, verdicts: &mut BTreeMap<Uuid, bool>) {
    let mut path = vec![id];
    let mut on_path: BTreeSet<Uuid> = BTreeSet::from([id]);
    while let Some(at) = path.last().copied() {
        if verdicts.contains_key(&at) {
            path.pop();
            on_path.remove(&at);
            continue;
        }
        let none = Vec::new();
        let against = undos.get(&at).unwrap_or(&none);
        let open = against.iter().find(|u| !verdicts.contains_key(u));
        match open {
            None => {
                let falls = against.iter().any(|u| verdicts[u]);
                verdicts.insert(at, !falls);
            }
            Some(undo) if on_path.contains(undo) => {
                // A circle: everything in it falls.
                let from = path.iter().position(|p| p == undo).unwrap_or(0);
                for member in &path[from..] {
                    verdicts.insert(*member, false);
                }
            }
            Some(undo) => {
                path.push(*undo);
                on_path.insert(*undo);
            }
        }
    }
}
