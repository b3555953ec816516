"""STEP files as Open CASCADE reads them: validity, volume, and the shape of every face."""

import dataclasses
import math

from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.GeomAbs import GeomAbs_SurfaceType as Kind
from OCP.GProp import GProp_GProps
from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.STEPControl import STEPControl_Reader
from OCP.TopAbs import TopAbs_Orientation, TopAbs_ShapeEnum
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS


@dataclasses.dataclass
class Round:
    """A cylinder or cone: a point and direction of its axis, radius there, half angle, area, and whether it is a hole."""

    at: tuple
    axis: tuple
    radius: float
    lean: float
    area: float
    hole: bool

    @property
    def length(self):
        """Mean length of the wall of a cylinder: that along its axis where its ends are planes."""
        return self.area / (2 * math.pi * self.radius)


@dataclasses.dataclass
class Flat:
    """A plane face: normal out of the solid, a point on it, area."""

    normal: tuple
    at: tuple
    area: float


@dataclasses.dataclass
class Solid:
    """What a STEP file holds."""

    valid: bool
    solids: int
    volume: float
    flats: list
    rounds: list
    others: int


def of(shape, kind):
    walk = TopExp_Explorer(shape, kind)
    while walk.More():
        yield walk.Current()
        walk.Next()


def xyz(it):
    return it.X(), it.Y(), it.Z()


def read(path):
    """The solids of a file in millimeters."""
    reader = STEPControl_Reader()
    assert reader.ReadFile(str(path)) == IFSelect_ReturnStatus.IFSelect_RetDone
    reader.TransferRoots()
    shape = reader.OneShape()
    mass = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, mass)
    flats, rounds, others = [], [], 0
    for each in of(shape, TopAbs_ShapeEnum.TopAbs_FACE):
        face = TopoDS.Face_s(each) if hasattr(TopoDS, "Face_s") else TopoDS.Face(each)
        surface, size = BRepAdaptor_Surface(face), GProp_GProps()
        BRepGProp.SurfaceProperties_s(face, size)
        turned = face.Orientation() == TopAbs_Orientation.TopAbs_REVERSED
        if surface.GetType() == Kind.GeomAbs_Plane:
            plane = surface.Plane()
            sign = -1 if turned else 1
            normal = tuple(sign * value for value in xyz(plane.Axis().Direction()))
            flats.append(Flat(normal, xyz(plane.Location()), size.Mass()))
        elif surface.GetType() == Kind.GeomAbs_Cylinder:
            it = surface.Cylinder()
            rounds.append(Round(xyz(it.Location()), xyz(it.Axis().Direction()), it.Radius(), 0, size.Mass(), turned))
        elif surface.GetType() == Kind.GeomAbs_Cone:
            it = surface.Cone()
            rounds.append(Round(xyz(it.Location()), xyz(it.Axis().Direction()), it.RefRadius(), it.SemiAngle(), size.Mass(), turned))
        else:
            others += 1
    solids = sum(1 for _ in of(shape, TopAbs_ShapeEnum.TopAbs_SOLID))
    return Solid(BRepCheck_Analyzer(shape).IsValid(), solids, mass.Mass(), flats, rounds, others)
