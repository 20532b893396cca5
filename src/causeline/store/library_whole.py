"""A reading of the library as the record that it was, tracks and all."""

from __future__ import annotations

from causeline.errors import ReadingFileError, StoreError
from causeline.model.library import ReadingEntry
from causeline.model.reading import Reading
from causeline.store.library import Library
from causeline.store.library_readings import load_reading_content, load_seen_kept
from causeline.store.reading_back import load_read


def load_whole(library: Library, entry: ReadingEntry) -> Reading:
    """The reading of a ready row; its findings are left out, as `reading_back` says.

    Raises StoreError where its files are not there or damaged, ReadingFileError where they are of
    another version.
    """
    if entry.seen_key is None:
        raise StoreError(
            f"the reading {entry.id} is {entry.state}",
            "one that is ready was expected",
            "wait until it is done, or see why it is not",
        )
    content = load_reading_content(library, entry)
    clip = load_seen_kept(library, entry.seen_key).clip
    try:
        return load_read(content, clip)
    except (KeyError, TypeError, ValueError, IndexError) as error:
        raise ReadingFileError(
            f"the reading {entry.id} has something amiss ({type(error).__name__}: {error})",
            "a reading as this version writes it was expected",
            "read the clip again",
        ) from error
