"""Words, signs and labels laid out from a converted set: layout, colours, frames, fabric, drawings."""
