//! Recording people: versions, aliases and memberships, each a new row.
//! Must check what a range cannot: that dates do not run backwards.

use super::existing;
use crate::db::{Tx, V};
use crate::error::ArchiveError;
use crate::id::{MembershipId, PersonId, SourceId};
use crate::model::{
    ChangeKind, Membership, PersonFacts, PersonVersion, Reading, RecordedMembership,
};
use crate::pen::{Draft, Pen};
use crate::rows;
use crate::schema::{ALIAS, MEMBERSHIP, PERSON, PERSON_VERSION};

/// Records a new person.
pub(crate) fn first_version(
    pen: &Pen<'_>,
    facts: &PersonFacts,
    source: Option<SourceId>,
) -> Result<PersonId, ArchiveError> {
    let id = PersonId(pen.id());
    pen.insert(&PERSON, vec![id.into(), pen.seq.into(), source.into()])?;
    insert_version(pen, id, facts, None, source)?;
    Ok(id)
}

/// Records what is known of a person now, after the version in force.
pub(crate) fn next_version(
    pen: &Pen<'_>,
    before: &PersonVersion,
    facts: &PersonFacts,
    source: Option<SourceId>,
) -> Result<(), ArchiveError> {
    insert_version(pen, before.person, facts, Some(&before.id), source)
}

fn insert_version(
    pen: &Pen<'_>,
    person: PersonId,
    facts: &PersonFacts,
    supersedes: Option<&str>,
    source: Option<SourceId>,
) -> Result<(), ArchiveError> {
    let mut values: Vec<V> = vec![pen.id().hyphenated().to_string().into(), person.into()];
    values.extend(facts.to_values());
    values.extend([supersedes.into(), pen.seq.into(), source.into()]);
    pen.insert(&PERSON_VERSION, values)
}

/// Returns the version in force of the person's own entry, merges aside.
pub(crate) fn own_version(tx: &Tx<'_>, id: PersonId) -> Result<PersonVersion, ArchiveError> {
    let stmt = rows::in_force(&PERSON_VERSION, Some(("person_id", id.into())));
    rows::one(tx, &stmt, PersonVersion::from_row)?.ok_or_else(|| ArchiveError::NotFound {
        what: "person",
        found: id.to_string(),
        hint: "list the people to see their ids; an undone import takes its people along",
    })
}

/// Records a person's facts anew; `facts` makes them from the person's own and the shown ones.
///
/// What the caller took over from a merged entry, as it was shown, is not recorded as the kept
/// person's own: otherwise it would stay after an unmerge.
pub(super) fn set(
    draft: &Draft<'_>,
    id: PersonId,
    facts: impl FnOnce(&PersonFacts, &PersonFacts) -> PersonFacts,
) -> Result<(), ArchiveError> {
    let person = existing(draft.tx, id)?;
    let own = own_version(draft.tx, person.id)?;
    let mut new = facts(&own.facts, &person.facts);
    let (mine, shown) = (&own.facts, &person.facts);
    new.legal_name = keep(new.legal_name, &mine.legal_name, &shown.legal_name);
    new.birth_date = keep(new.birth_date, &mine.birth_date, &shown.birth_date);
    new.sex = keep(new.sex, &mine.sex, &shown.sex);
    new.external_id = keep(new.external_id, &mine.external_id, &shown.external_id);
    new.notes = keep(new.notes, &mine.notes, &shown.notes);
    let renamed = new.called_name != mine.called_name;
    let summary = if renamed {
        format!("{} is now called {}", mine.called_name, new.called_name)
    } else {
        format!("facts of {} changed", mine.called_name)
    };
    let pen = draft.begin(ChangeKind::PersonChanged, &summary)?;
    next_version(&pen, &own, &new, None)?;
    if renamed {
        let old = std::slice::from_ref(&mine.called_name);
        add_aliases(&pen, person.id, &new.called_name, old, None)?;
    }
    Ok(())
}

/// Returns the new value, or nothing where it is only what a merged entry lent.
fn keep<T: PartialEq>(new: Option<T>, own: &Option<T>, shown: &Option<T>) -> Option<T> {
    if own.is_none() && new == *shown {
        None
    } else {
        new
    }
}

/// Returns the called name and the other names of a person's own entry, merges aside.
pub(super) fn own_names(
    tx: &Tx<'_>,
    person: PersonId,
    called_name: &str,
) -> Result<Vec<String>, ArchiveError> {
    let stmt = rows::in_force(&ALIAS, Some(("person_id", person.into())));
    let mut names = rows::each(tx, &stmt, |row| {
        let mut row = Reading::new(&ALIAS, row);
        let _ = (row.text()?, row.text()?);
        row.text()
    })?;
    names.push(called_name.to_owned());
    Ok(names)
}

/// Records names that the person's own entry does not have yet.
pub(crate) fn add_aliases(
    pen: &Pen<'_>,
    person: PersonId,
    called_name: &str,
    names: &[String],
    source: Option<SourceId>,
) -> Result<(), ArchiveError> {
    let mut known = own_names(pen.tx, person, called_name)?;
    for name in names {
        if known.contains(name) {
            continue;
        }
        known.push(name.clone());
        pen.insert(
            &ALIAS,
            vec![
                pen.id().hyphenated().to_string().into(),
                person.into(),
                name.as_str().into(),
                pen.seq.into(),
                source.into(),
            ],
        )?;
    }
    Ok(())
}

/// Records a time in a squad.
pub(crate) fn add_membership(
    pen: &Pen<'_>,
    person: PersonId,
    membership: &Membership,
    source: Option<SourceId>,
) -> Result<MembershipId, ArchiveError> {
    insert_membership(pen, person, membership, None, source)
}

fn insert_membership(
    pen: &Pen<'_>,
    person: PersonId,
    membership: &Membership,
    supersedes: Option<MembershipId>,
    source: Option<SourceId>,
) -> Result<MembershipId, ArchiveError> {
    if let (Some(from), Some(to)) = (membership.from, membership.to)
        && to < from
    {
        return Err(ArchiveError::Value {
            place: format!("table `{}`", MEMBERSHIP.name),
            column: "to_date".to_owned(),
            found: format!("`{to}`"),
            allowed: format!("`{from}` (the first day) or later, or nothing"),
        });
    }
    let id = MembershipId(pen.id());
    pen.insert(
        &MEMBERSHIP,
        vec![
            id.into(),
            person.into(),
            membership.squad.as_str().into(),
            membership.from.map(|date| date.to_string()).into(),
            membership.to.map(|date| date.to_string()).into(),
            supersedes.into(),
            pen.seq.into(),
            source.into(),
        ],
    )?;
    Ok(id)
}

/// Records a time in a squad anew.
pub(super) fn change_membership(
    draft: &Draft<'_>,
    id: MembershipId,
    membership: &Membership,
) -> Result<MembershipId, ArchiveError> {
    let stmt = rows::in_force(&MEMBERSHIP, Some(("id", id.into())));
    let before = rows::one(draft.tx, &stmt, RecordedMembership::from_row)?;
    let before = before.ok_or_else(|| ArchiveError::NotInForce {
        what: "membership",
        id: id.to_string(),
        why: "it was changed or undone since, or never recorded".to_owned(),
    })?;
    let person = existing(draft.tx, before.person)?;
    let summary = format!(
        "{} in {} changed",
        person.facts.called_name, before.membership.squad
    );
    let pen = draft.begin(ChangeKind::MembershipChanged, &summary)?;
    insert_membership(&pen, before.person, membership, Some(id), None)
}
