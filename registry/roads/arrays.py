"""The kinds of arrays that road networks are made of."""

import numpy as np
import numpy.typing as npt

type Ints = npt.NDArray[np.int64]
type Floats = npt.NDArray[np.float64]
type Flags = npt.NDArray[np.bool_]
type Words = npt.NDArray[np.str_]
