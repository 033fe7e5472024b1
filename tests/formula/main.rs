//! `polypary formula`: every row of the contract over its table, published examples, and the command itself.

mod command;
mod contract;
mod lamps_and_heat;
mod published;
