//! Index types: a number that says what it counts.

/// Declares index newtypes over `u32`, each with `new`, `index` and ordering.
macro_rules! ids {
    ($($(#[$doc:meta])* $name:ident;)*) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(u32);
        impl $name {
            /// The `index`-th of its kind.
            #[must_use]
            pub const fn new(index: usize) -> Self {
                $name(index as u32)
            }
            /// Position in the table of its kind.
            #[must_use]
            pub const fn index(self) -> usize {
                self.0 as usize
            }
        }
    )*};
}

ids! {
    /// An electrical node: one terminal, or the earth (node 0).
    NodeId;
    /// A conducting branch between two electrical nodes.
    BranchId;
    /// A winding of a relay or a solenoid.
    WindingId;
    /// A contact.
    ContactId;
    /// What moves a group of contacts: a hand, a relay, a cam, a pressure.
    OperatorId;
    /// A fuse link.
    FuseId;
    /// A volume of fluid with one pressure, or a fixed pressure such as the tank.
    VolumeId;
    /// A flow path between two volumes.
    FlowId;
    /// A valve spool.
    SpoolId;
    /// A piston with its rod and load.
    PistonId;
    /// A hydraulic motor.
    MotorId;
    /// A pump driven by a motor.
    PumpId;
    /// A gas-loaded accumulator.
    AccumulatorId;
    /// A programmable controller.
    PlcId;
    /// A transformer.
    TransformerId;
    /// A rectifier bridge.
    RectifierId;
    /// A motor's overload relay.
    OverloadId;
    /// An amplifier of a proportional valve.
    AmplifierId;
    /// An authored part, or a wire.
    PartId;
}
