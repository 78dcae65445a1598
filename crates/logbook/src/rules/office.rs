//! Who may change what the whole site relies on: people, instruments, positions, adopted files.

use crate::events::Role;
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
