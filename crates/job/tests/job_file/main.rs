//! The job file and the report as the world sees them: schema, contract, hostile input.

mod coil;
mod contract;
mod hostile;
mod operations;
mod schema;
mod support;
