//! Who may change what the whole site relies on: people, instruments, positions, adopted files.

use quantity::{Decimal, Dimension, Field};

use crate::events::{Role, SiteDescribed};
use crate::refusal::Refusal;

/// Lets everyone through who may write into the logbook at all.
///
/// # Errors
/// An auditor, who reads; a trainee, who assists.
pub fn may_write(role: Role) -> Result<(), Refusal> {
    match role {
        Role::Auditor | Role::Trainee => Err(Refusal::new(
            "role_writes_nothing",
            format!("A {} does not enter this.", role.title()),
            "Let a qualified person of the crew enter it.",
        )),
        _ => Ok(()),
    }
}

/// Lets the commissioning lead and the supervisor through.
///
/// # Errors
/// Any other role.
pub fn may_administer(role: Role) -> Result<(), Refusal> {
    match role {
        Role::CommissioningLead | Role::Supervisor => Ok(()),
        _ => Err(Refusal::new(
            "office_needed",
            format!("A {} does not change what the whole site relies on.", role.title()),
            "Let the commissioning lead or the supervisor enter it.",
        )),
    }
}

/// Whether a description of the site can be used: its figures are figures, in their ranges.
///
/// # Errors
/// The first figure that can't be read or lies outside its range.
pub fn site_description(described: &SiteDescribed) -> Result<(), Refusal> {
    let wrong = |what: &str, typed: &str, next: &str| {
        Refusal::new(
            "site_description",
            format!("“{typed}” is no {what} of a site."),
            next.to_owned(),
        )
    };
    let degrees = |typed: &str| {
        let reading = quantity::parse(typed, &Field::of(Dimension::Angle)).ok()?;
        let unit = quantity::find_unit(Dimension::Angle, "°")?;
        let one = quantity::parse(&format!("1 {}", unit.symbol()), &Field::of(Dimension::Angle));
        reading.base().checked_div(one.ok()?.base())
    };
    let within = |typed: &str, most: u32| {
        degrees(typed).is_some_and(|angle| angle.abs() <= Decimal::from(most))
    };
    if !within(&described.latitude, 90) {
        return Err(wrong(
            "latitude",
            &described.latitude,
            "Give it as “-23.10 °”, north positive.",
        ));
    }
    if !within(&described.longitude, 180) {
        return Err(wrong(
            "longitude",
            &described.longitude,
            "Give it as “-69.60 °”, east positive.",
        ));
    }
    let length = |typed: &str| quantity::parse(typed, &Field::of(Dimension::Length)).is_ok();
    if !length(&described.altitude) {
        return Err(wrong("altitude", &described.altitude, "Give it as “1350 m”."));
    }
    if described.time_zone.trim().is_empty() {
        return Err(wrong("time zone", "", "Name it as the IANA database does."));
    }
    for place in &described.plan {
        if !length(&place.east) || !length(&place.north) {
            return Err(wrong(
                "place",
                &format!("{}, {}", place.east, place.north),
                &format!("Give the distances of {} with unit, such as “50 m”.", place.position),
            ));
        }
    }
    Ok(())
}
