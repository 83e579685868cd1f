//! Marks of calculations.

use super::{ExampleFile, Row};
use crate::diagnostic::MarkId;

pub(super) const ROWS: &[Row] = &[
    Row {
        id: MarkId::CalcSyntax,
        headline: "found {found}, expected {expected}",
        help: "A statement is `given NAME = VALUE`, or `NAME = FORMULA`, with `gives VALUE` or `in UNIT` behind it.",
        about: "A line of a calculation block is no statement.",
        wrong: &[ExampleFile {
            path: "systems/wheels.md",
            text: Some(
                r#"---
title: Wheels
basis: demo
specifications:
  tread-minimum: 1.6 mm
---
## Tread

The tread is at least [1.6 mm](spec:wheels/tread-minimum) deep.

```calc
grip = (0.5 + 0.3 gives 0.8
```
"#,
            ),
        }],
        right: &[ExampleFile {
            path: "systems/wheels.md",
            text: Some(
                r#"---
title: Wheels
basis: demo
specifications:
  tread-minimum: 1.6 mm
---
## Tread

The tread is at least [1.6 mm](spec:wheels/tread-minimum) deep.

```calc
grip = (0.5 + 0.3) gives 0.8
```
"#,
            ),
        }],
    },
    Row {
        id: MarkId::UnknownName,
        headline: "no {what} is called `{found}`[ for {vehicle}][; did you mean `{nearest}`?]",
        help: "",
        about: "A formula or a claim uses a name that stands for nothing.",
        wrong: &[ExampleFile {
            path: "systems/wheels.md",
            text: Some(
                r#"---
title: Wheels
basis: demo
specifications:
  tread-minimum: 1.6 mm
---
## Tread

The tread is at least [1.6 mm](spec:wheels/tread-minimum) deep.

```calc
given speed = 20 m/s
way = sped * 2 s gives 40 m
half = speed / 2 in m/s
```
"#,
            ),
        }],
        right: &[ExampleFile {
            path: "systems/wheels.md",
            text: Some(
                r#"---
title: Wheels
basis: demo
specifications:
  tread-minimum: 1.6 mm
---
## Tread

The tread is at least [1.6 mm](spec:wheels/tread-minimum) deep.

```calc
given speed = 20 m/s
way = speed * 2 s gives 40 m
half = speed / 2 in m/s
```
"#,
            ),
        }],
    },
    Row {
        id: MarkId::UnknownUnit,
        headline: "{found} is no unit here[; write {choices}][; did you mean `{nearest}`?]",
        help: "",
        about: "A symbol is no unit, or could be more than one.",
        wrong: &[ExampleFile {
            path: "systems/wheels.md",
            text: Some(
                r#"---
title: Wheels
basis: demo
specifications:
  tread-minimum: 1.6 mm
---
## Tread

The tread is at least [1.6 mm](spec:wheels/tread-minimum) deep.

```calc
given fuel = 5 gal
half = fuel / 2 in L
```
"#,
            ),
        }],
        right: &[ExampleFile {
            path: "systems/wheels.md",
            text: Some(
                r#"---
title: Wheels
basis: demo
specifications:
  tread-minimum: 1.6 mm
---
## Tread

The tread is at least [1.6 mm](spec:wheels/tread-minimum) deep.

```calc
given fuel = 5 galUS
half = fuel / 2 in L
```
"#,
            ),
        }],
    },
    Row {
        id: MarkId::DimensionMismatch,
        headline: "found {found}, expected {expected}[: {hint}]",
        help: "",
        about: "Quantities of different kinds are added, compared or claimed to be each other.",
        wrong: &[ExampleFile {
            path: "systems/wheels.md",
            text: Some(
                r#"---
title: Wheels
basis: demo
specifications:
  tread-minimum: 1.6 mm
---
## Tread

The tread is at least [1.6 mm](spec:wheels/tread-minimum) deep.

```calc
sum = 5 psi + 3 m in psi
```
"#,
            ),
        }],
        right: &[ExampleFile {
            path: "systems/wheels.md",
            text: Some(
                r#"---
title: Wheels
basis: demo
specifications:
  tread-minimum: 1.6 mm
---
## Tread

The tread is at least [1.6 mm](spec:wheels/tread-minimum) deep.

```calc
sum = 5 psi + 3 psi in psi
```
"#,
            ),
        }],
    },
    Row {
        id: MarkId::CalcLoop,
        headline: "worked out from itself: {path}",
        help: "",
        about: "A result depends on itself.",
        wrong: &[ExampleFile {
            path: "systems/wheels.md",
            text: Some(
                r#"---
title: Wheels
basis: demo
specifications:
  tread-minimum: 1.6 mm
---
## Tread

The tread is at least [1.6 mm](spec:wheels/tread-minimum) deep.

```calc
a = 2 * b in m
b = a / 2 in m
```
"#,
            ),
        }],
        right: &[ExampleFile {
            path: "systems/wheels.md",
            text: Some(
                r#"---
title: Wheels
basis: demo
specifications:
  tread-minimum: 1.6 mm
---
## Tread

The tread is at least [1.6 mm](spec:wheels/tread-minimum) deep.

```calc
a = 2 * b in m
b = 3 m in m
```
"#,
            ),
        }],
    },
    Row {
        id: MarkId::StatedValueDiffers,
        headline: "{name} is {computed}, not {stated}[ for {vehicle}]",
        help: "The stated value may differ by half a unit of its last digit, or by what `within` says.",
        about: "A value that the text states is not the one that its formula gives.",
        wrong: &[ExampleFile {
            path: "systems/wheels.md",
            text: Some(
                r#"---
title: Wheels
basis: demo
specifications:
  tread-minimum: 1.6 mm
---
## Tread

The tread is at least [1.6 mm](spec:wheels/tread-minimum) deep.

```calc
given speed = 20 m/s
way = speed * 2 s gives 41 m
```
"#,
            ),
        }],
        right: &[ExampleFile {
            path: "systems/wheels.md",
            text: Some(
                r#"---
title: Wheels
basis: demo
specifications:
  tread-minimum: 1.6 mm
---
## Tread

The tread is at least [1.6 mm](spec:wheels/tread-minimum) deep.

```calc
given speed = 20 m/s
way = speed * 2 s gives 40 m
```
"#,
            ),
        }],
    },
    Row {
        id: MarkId::SpecDiffers,
        headline: "{name} is {specified}, not {stated}[ for {vehicle}]",
        help: "",
        about: "A sentence quotes a specification with another value than the system gives.",
        wrong: &[ExampleFile {
            path: "systems/wheels.md",
            text: Some(
                r#"---
title: Wheels
basis: demo
specifications:
  tread-minimum: 1.6 mm
---
## Tread

The tread is at least [3 mm](spec:wheels/tread-minimum) deep.
"#,
            ),
        }],
        right: &[ExampleFile {
            path: "systems/wheels.md",
            text: Some(
                r#"---
title: Wheels
basis: demo
specifications:
  tread-minimum: 1.6 mm
---
## Tread

The tread is at least [1.6 mm](spec:wheels/tread-minimum) deep.
"#,
            ),
        }],
    },
    Row {
        id: MarkId::OutOfDomain,
        headline: "{what}[ when {inputs}][certain=no: could not be excluded][ for {vehicle}]",
        help: "",
        about: "Within the ranges of its inputs a formula divides by zero, takes a root of a negative number, or leaves its table.",
        wrong: &[ExampleFile {
            path: "systems/wheels.md",
            text: Some(
                r#"---
title: Wheels
basis: demo
specifications:
  tread-minimum: 1.6 mm
---
## Tread

The tread is at least [1.6 mm](spec:wheels/tread-minimum) deep.

```calc
given load = 1 from 0 to 2
share = 1 / load in %
```
"#,
            ),
        }],
        right: &[ExampleFile {
            path: "systems/wheels.md",
            text: Some(
                r#"---
title: Wheels
basis: demo
specifications:
  tread-minimum: 1.6 mm
---
## Tread

The tread is at least [1.6 mm](spec:wheels/tread-minimum) deep.

```calc
given load = 1 from 0.5 to 2
share = 1 / load in %
```
"#,
            ),
        }],
    },
    Row {
        id: MarkId::UnusedGiven,
        headline: "the input {name} is not used",
        help: "",
        about: "A person who changes it on the page would see nothing happen.",
        wrong: &[ExampleFile {
            path: "systems/wheels.md",
            text: Some(
                r#"---
title: Wheels
basis: demo
specifications:
  tread-minimum: 1.6 mm
---
## Tread

The tread is at least [1.6 mm](spec:wheels/tread-minimum) deep.

```calc
given load = 1
given speed = 20 m/s
way = speed * 2 s gives 40 m
```
"#,
            ),
        }],
        right: &[ExampleFile {
            path: "systems/wheels.md",
            text: Some(
                r#"---
title: Wheels
basis: demo
specifications:
  tread-minimum: 1.6 mm
---
## Tread

The tread is at least [1.6 mm](spec:wheels/tread-minimum) deep.

```calc
given speed = 20 m/s
way = speed * 2 s gives 40 m
```
"#,
            ),
        }],
    },
];
