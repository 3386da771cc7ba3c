//! The job file and the report as the world sees them: schema, contract, hostile input.

mod coil;
mod contract;
mod hostile;
mod limits;
mod line;
mod operations;
mod schema;
mod sensitivity;
mod set_up;
mod support;
mod what_if;
mod working;
