"""A tree from a turn of silhouettes: carve, one tree of paths, radii from the edges of the photographs."""

from ringwise.structure.turntable.quality import CancelledError as CancelledError
from ringwise.structure.turntable.quality import Quality as Quality
from ringwise.structure.turntable.quality import Refused as Refused
from ringwise.structure.turntable.quality import Warned as Warned
from ringwise.structure.turntable.reconstruct import Reconstruction as Reconstruction
from ringwise.structure.turntable.reconstruct import reconstruct as reconstruct
from ringwise.structure.turntable.views import View as View
