//! Which sound outputs there are, and the one that is meant.

use cpal::traits::{DeviceTrait, HostTrait};
use cpal::{DeviceId, ErrorKind, Host, HostId};

use super::Setup;
use crate::instruments::speaker::Error;

/// A sound output that can be named in a [`Setup`].
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Output {
    /// Its stable id, such as `alsa:default`.
    pub id: String,
    /// Its name in words.
    pub name: String,
    /// Whether the system would choose it.
    pub is_default: bool,
}

/// Lists the sound outputs. It may wait a second or two for a sound service that does not answer.
///
/// # Errors
///
/// When there is none, or the system does not tell.
pub fn outputs() -> Result<Vec<Output>, Error> {
    hush();
    let host = cpal::default_host();
    let default = host.default_output_device().and_then(|it| it.id().ok());
    let outputs: Vec<Output> = host
        .output_devices()
        .map_err(|error| refused("of this computer", &error))?
        .filter_map(|device| {
            let id = device.id().ok()?;
            Some(Output {
                is_default: Some(&id) == default.as_ref(),
                name: name(&device),
                id: id.to_string(),
            })
        })
        .collect();

    if outputs.is_empty() {
        return Err(Error::None);
    }
    Ok(outputs)
}

/// Keeps the system's sound library from writing to standard error in this thread: where there is
/// no device it says so a dozen times, in its own words, and we say it once in ours.
fn hush() {
    #[cfg(target_os = "linux")]
    drop(alsa::Output::local_error_handler());
}

/// Finds the output that is meant, on the system it was last found on if there was one.
pub(super) fn find(setup: &Setup, known: Option<HostId>) -> Result<cpal::Device, Error> {
    hush();
    let wanted = setup.output.as_deref();
    let host = host(wanted, known)?;

    let Some(wanted) = wanted else {
        return host.default_output_device().ok_or(Error::None);
    };
    let mut devices: Vec<cpal::Device> = host
        .output_devices()
        .map_err(|error| refused(wanted, &error))?
        .collect();

    if devices.is_empty() {
        return Err(Error::None);
    }
    match devices.iter().position(|device| is_meant(device, wanted)) {
        Some(index) => Ok(devices.swap_remove(index)),
        None => Err(Error::Missing {
            wanted: wanted.to_owned(),
            found: devices.iter().map(name).collect(),
        }),
    }
}

fn is_meant(device: &cpal::Device, wanted: &str) -> bool {
    let is_id = device.id().is_ok_and(|id| {
        id.to_string().eq_ignore_ascii_case(wanted) || id.id().eq_ignore_ascii_case(wanted)
    });

    is_id || name(device).to_lowercase() == wanted.to_lowercase()
}

/// The sound system to ask. One that a device was lost on is asked again and no other, so that
/// nothing else begins to sound in the middle of a sitting.
fn host(wanted: Option<&str>, known: Option<HostId>) -> Result<Host, Error> {
    let named = wanted
        .and_then(|wanted| wanted.parse::<DeviceId>().ok())
        .map(|id| id.host());

    match named.or(known) {
        Some(id) => cpal::host_from_id(id).map_err(|_| Error::None),
        None => Ok(cpal::default_host()),
    }
}

/// A device's name in words, or else its id.
pub(super) fn name(device: &cpal::Device) -> String {
    match (device.description(), device.id()) {
        (Ok(description), _) => description.name().to_owned(),
        (Err(_), Ok(id)) => id.to_string(),
        (Err(_), Err(_)) => "a sound output without a name".to_owned(),
    }
}

/// Puts what the system says into our words.
pub(super) fn refused(name: &str, error: &cpal::Error) -> Error {
    match error.kind() {
        ErrorKind::DeviceNotAvailable | ErrorKind::HostUnavailable => Error::None,
        _ => Error::Refused {
            name: name.to_owned(),
            reason: error.to_string(),
        },
    }
}
