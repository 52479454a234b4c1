"""Pedigree: birds, parents and hatches that fit together, as one value."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import cached_property
from typing import TYPE_CHECKING, Any, TypeVar

import attrs

from pinfeather import _checks
from pinfeather._results import Shown
from pinfeather.pedigree import listing
from pinfeather.pedigree.checking import check, refuse_problems
from pinfeather.pedigree.individuals import Hatch, Individual, chances
from pinfeather.pedigree.lineage import Lineage, lineage_of

if TYPE_CHECKING:
    import networkx

    from pinfeather.heredity.species import Species

__all__ = ["Pedigree"]

T = TypeVar("T")


def _individuals(value: Any) -> tuple[Individual, ...]:
    return _all_of(Individual, value, "individuals")


def _hatches(value: Any) -> tuple[Hatch, ...]:
    return _all_of(Hatch, value, "hatches")


def _all_of(kind: type[T], value: Any, name: str) -> tuple[T, ...]:
    if isinstance(value, (str, kind)) or not isinstance(value, Iterable):
        _checks.refuse(name, value, f"must be a sequence of {kind.__name__}")
    return tuple(_checks.instance(item, name, kind) for item in value)


@attrs.frozen(slots=False, repr=False)
class Pedigree(Shown):
    """The flock book: birds and their parents, checked as a whole.

    A parent that is named but not listed is added as a founder of the sex that its role implies, and a listed bird
    without a sex that is somebody's parent is given the sex of that role; ``notes`` reports both.  A pedigree is a
    value: it never changes, and :meth:`adding` and its sisters make new ones. ``pedigree["Wren"]`` is a bird,
    ``"Wren" in pedigree`` asks for one, and iteration gives the ids.

    Parameters
    ----------
    species : Species
        What the looks and genotypes are read by, and which sex has two Z (or X).
    individuals : iterable of Individual
        The birds, in any order.
    hatches : iterable of Hatch
        Chicks that were counted but not banded.

    Attributes
    ----------
    individuals : tuple of Individual
        The birds in the order given, then the founders that were added.
    hatches : tuple of Hatch
    notes : tuple of str
        What was added or taken to be so, in words.

    Raises
    ------
    PedigreeError
        If records cannot be put together: an id twice, a bird that is its own ancestor, a sire that is female or is
        somewhere a dam, a parent that hatched after its chick, a look or a genotype that the species does not know. All
        problems are told at once, and ``problems`` holds them with bird and field.

    Examples
    --------
    >>> from pinfeather import Individual, Pedigree, load_fowl
    >>> flock = Pedigree(load_fowl(), [
    ...     Individual("Rook", "male"), Individual("Dove", "female"),
    ...     Individual("Wren", "female", "Rook", "Dove"), Individual("Jay", "male", "Rook", "Starling"),
    ... ])
    >>> flock.founders
    ('Rook', 'Dove', 'Starling')
    >>> flock.notes
    ('Starling is named as the dam of Jay but not listed; added as a female founder',)
    """

    species: Species
    individuals: tuple[Individual, ...] = attrs.field(converter=_individuals)
    hatches: tuple[Hatch, ...] = attrs.field(default=(), converter=_hatches)
    notes: tuple[str, ...] = attrs.field(init=False, eq=False, default=())

    def __attrs_post_init__(self) -> None:
        checked = check(self.species, self.individuals, self.hatches)
        refuse_problems(checked.problems)
        object.__setattr__(self, "individuals", checked.individuals)
        object.__setattr__(self, "notes", checked.notes)

    # -- asking ----------------------------------------------------------------------------------------------

    def __getitem__(self, name: str) -> Individual:
        if name not in self._birds:
            _checks.unknown("bird", str(name), self._birds, "the pedigree")
        return self._birds[name]

    def __contains__(self, name: object) -> bool:
        return name in self._birds

    def __iter__(self) -> Iterator[str]:
        return iter(self._birds)

    def __len__(self) -> int:
        return len(self._birds)

    _records, _facts, _table = listing.birds_of, listing.book_of, listing.table_of

    def __repr__(self) -> str:
        return f"<Pedigree of {len(self)} birds, {len(self.founders)} of them founders>"

    @property
    def ids(self) -> tuple[str, ...]:
        """The ids of all birds, in the order of ``individuals``."""
        return tuple(self._birds)

    @property
    def founders(self) -> tuple[str, ...]:
        """The birds without a known parent."""
        return tuple(bird.id for bird in self.individuals if bird.sire is None and bird.dam is None)

    @property
    def graph(self) -> networkx.DiGraph[str]:
        """A ``networkx.DiGraph`` of its own: edges from parent to chick, with ``role`` and ``chance``.

        Its nodes carry ``sex`` and ``individual``.  It is a copy; changing it changes no pedigree.
        """
        import networkx

        graph: networkx.DiGraph[str] = networkx.DiGraph()
        for bird in self.individuals:
            graph.add_node(bird.id, sex=bird.sex, individual=bird)
        for bird in self.individuals:
            for role, parent in (("sire", bird.sire), ("dam", bird.dam)):
                for name, chance in chances(parent):
                    graph.add_edge(name, bird.id, role=role, chance=chance)
        return graph

    def parents(self, name: str) -> tuple[str, ...]:
        """The known parents of a bird, sire first; possible parents are all named.

        Parameters
        ----------
        name : str
            The bird's id.

        Returns
        -------
        tuple of str
            Ids.

        Raises
        ------
        UnknownSymbolError
            If there is no such bird.

        Examples
        --------
        >>> from pinfeather import Individual, Pedigree, load_fowl
        >>> flock = Pedigree(load_fowl(), [
        ...     Individual("Wren", "hen", "Rook", "Dove"),
        ...     Individual("Jay", "cock", {"Rook": "2/3", "Robin": "1/3"}, "Dove"),
        ...     Individual("Tit", "hen", "Jay", "Wren"),
        ... ])
        >>> flock.parents("Jay")
        ('Rook', 'Robin', 'Dove')
        """
        bird = self[name]
        return (*bird.sires, *bird.dams)

    def chicks(self, name: str) -> tuple[str, ...]:
        """The birds of which this one is, or may be, a parent.

        Parameters
        ----------
        name : str
            The bird's id.

        Returns
        -------
        tuple of str
            Ids, in the order of ``individuals``.

        Raises
        ------
        UnknownSymbolError
            If there is no such bird.

        Examples
        --------
        >>> from pinfeather import Individual, Pedigree, load_fowl
        >>> flock = Pedigree(load_fowl(), [
        ...     Individual("Wren", "hen", "Rook", "Dove"),
        ...     Individual("Jay", "cock", {"Rook": "2/3", "Robin": "1/3"}, "Dove"),
        ...     Individual("Tit", "hen", "Jay", "Wren"),
        ... ])
        >>> flock.chicks("Dove")
        ('Wren', 'Jay')
        """
        self[name]
        return self._chicks.get(name, ())

    def ancestors(self, name: str) -> tuple[str, ...]:
        """All birds that are, or may be, ancestors of this one.

        Parameters
        ----------
        name : str
            The bird's id.

        Returns
        -------
        tuple of str
            Ids, in the order of ``individuals``.

        Raises
        ------
        UnknownSymbolError
            If there is no such bird.

        Examples
        --------
        >>> from pinfeather import Individual, Pedigree, load_fowl
        >>> flock = Pedigree(load_fowl(), [
        ...     Individual("Wren", "hen", "Rook", "Dove"),
        ...     Individual("Jay", "cock", {"Rook": "2/3", "Robin": "1/3"}, "Dove"),
        ...     Individual("Tit", "hen", "Jay", "Wren"),
        ... ])
        >>> flock.ancestors("Tit")
        ('Wren', 'Jay', 'Rook', 'Dove', 'Robin')
        """
        self[name]
        return self._reached(name, self.parents)

    def descendants(self, name: str) -> tuple[str, ...]:
        """All birds that descend, or may descend, from this one.

        Parameters
        ----------
        name : str
            The bird's id.

        Returns
        -------
        tuple of str
            Ids, in the order of ``individuals``.

        Raises
        ------
        UnknownSymbolError
            If there is no such bird.

        Examples
        --------
        >>> from pinfeather import Individual, Pedigree, load_fowl
        >>> flock = Pedigree(load_fowl(), [
        ...     Individual("Wren", "hen", "Rook", "Dove"),
        ...     Individual("Jay", "cock", {"Rook": "2/3", "Robin": "1/3"}, "Dove"),
        ...     Individual("Tit", "hen", "Jay", "Wren"),
        ... ])
        >>> flock.descendants("Robin")
        ('Jay', 'Tit')
        """
        self[name]
        return self._reached(name, self.chicks)

    def generation(self, name: str) -> int:
        """The length of the longest line from a founder to this bird; a founder's is 0.

        Parameters
        ----------
        name : str
            The bird's id.

        Returns
        -------
        int

        Raises
        ------
        UnknownSymbolError
            If there is no such bird.

        Examples
        --------
        >>> from pinfeather import Individual, Pedigree, load_fowl
        >>> flock = Pedigree(load_fowl(), [
        ...     Individual("Wren", "hen", "Rook", "Dove"),
        ...     Individual("Jay", "cock", {"Rook": "2/3", "Robin": "1/3"}, "Dove"),
        ...     Individual("Tit", "hen", "Jay", "Wren"),
        ... ])
        >>> flock.generation("Tit")
        2
        """
        self[name]
        return self.lineage.depth[self.lineage.position[name]]

    # -- making others ---------------------------------------------------------------------------------------

    def adding(self, *individuals: Individual, hatches: Iterable[Hatch] = ()) -> Pedigree:
        """A pedigree with more birds and hatches.

        A bird added takes the place of a founder that had only been named, or that was listed with nothing
        but an id and a sex.

        Parameters
        ----------
        *individuals : Individual
            Birds, one by one.
        hatches : iterable of Hatch
            Chicks that were counted but not banded.

        Returns
        -------
        Pedigree

        Raises
        ------
        PedigreeError
            If the records cannot be put together, such as an id that stands twice.
        ArgumentError
            If one of them is no bird.

        Examples
        --------
        >>> from pinfeather import Individual, Pedigree, load_fowl
        >>> flock = Pedigree(load_fowl(), [Individual("Rook", "male"), Individual("Dove", "female")])
        >>> flock.adding(Individual("Wren", "female", "Rook", "Dove")).generation("Wren")
        1
        """
        for bird in individuals:
            if not isinstance(bird, Individual):
                _checks.refuse(
                    "individuals", bird, "give the birds one by one, as in adding(wren, jay) or adding(*birds)"
                )
        fresh = {bird.id for bird in individuals}
        kept = [bird for bird in self.individuals if bird.id not in fresh or bird != Individual(bird.id, bird.sex)]
        return Pedigree(self.species, (*kept, *individuals), (*self.hatches, *hatches))

    def restricted_to(self, *names: str) -> Pedigree:
        """The pedigree of some birds: they, all their ancestors, and the hatches of parents among these.

        What is left out changes no kinship among the birds that stay.

        Parameters
        ----------
        *names : str
            The birds' ids.

        Returns
        -------
        Pedigree

        Raises
        ------
        UnknownSymbolError
            If there is no such bird.

        Examples
        --------
        >>> from pinfeather import Individual, Pedigree, load_fowl
        >>> flock = Pedigree(load_fowl(), [
        ...     Individual("Wren", "hen", "Rook", "Dove"),
        ...     Individual("Jay", "cock", {"Rook": "2/3", "Robin": "1/3"}, "Dove"),
        ...     Individual("Tit", "hen", "Jay", "Wren"),
        ... ])
        >>> flock.restricted_to("Wren").ids
        ('Wren', 'Rook', 'Dove')
        """
        kept = {name for chosen in names for name in (chosen, *self.ancestors(chosen))}
        return Pedigree(
            self.species,
            [bird for bird in self.individuals if bird.id in kept],
            [hatch for hatch in self.hatches if kept.issuperset((*hatch.sires, *hatch.dams))],
        )

    def merged_with(self, other: Pedigree) -> Pedigree:
        """Two flock books as one; a bird that stands in both is completed from both.

        Parameters
        ----------
        other : Pedigree
            Of the same species.

        Returns
        -------
        Pedigree

        Raises
        ------
        PedigreeError
            If the books differ in a field that both have filled in, or do not fit together otherwise.

        Examples
        --------
        >>> from pinfeather import Individual, Pedigree, load_fowl
        >>> mine = Pedigree(load_fowl(), [Individual("Wren", "hen", "Rook", "Dove")])
        >>> yours = Pedigree(load_fowl(), [Individual("Wren", "hen", hatched="2026"), Individual("Pip", dam="Wren")])
        >>> ours = mine.merged_with(yours)
        >>> ours.ids, ours["Wren"].sire, ours["Wren"].hatched
        (('Wren', 'Rook', 'Dove', 'Pip'), 'Rook', '2026')
        """
        from pinfeather.pedigree.merging import merged

        _checks.instance(other, "other", Pedigree)
        individuals, hatches = merged(self, other)
        return Pedigree(self.species, individuals, hatches)

    # -- inside ----------------------------------------------------------------------------------------------

    @cached_property
    def _birds(self) -> dict[str, Individual]:
        return {bird.id: bird for bird in self.individuals}

    @cached_property
    def _chicks(self) -> dict[str, tuple[str, ...]]:
        found: dict[str, list[str]] = {}
        for bird in self.individuals:
            for parent in (*bird.sires, *bird.dams):
                found.setdefault(parent, []).append(bird.id)
        return {parent: tuple(chicks) for parent, chicks in found.items()}

    @cached_property
    def lineage(self) -> Lineage:
        """The birds by number, for the sums of this room."""
        return lineage_of(self)

    def _reached(self, start: str, step: Any) -> tuple[str, ...]:
        found: set[str] = set()
        waiting = [start]
        while waiting:
            for name in step(waiting.pop()):
                if name not in found:
                    found.add(name)
                    waiting.append(name)
        return tuple(name for name in self._birds if name in found)

    def __getstate__(self) -> dict[str, Any]:
        return {field.name: getattr(self, field.name) for field in attrs.fields(Pedigree)}

    def __setstate__(self, state: dict[str, Any]) -> None:
        self.__dict__.update(state)
