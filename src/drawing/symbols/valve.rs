//! Directional valves: boxes with their paths, and what moves them.
