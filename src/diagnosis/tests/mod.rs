mod codes;
mod coins;
mod multiple;
mod properties;
mod six_states;
mod trees;
