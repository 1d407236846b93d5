"""What a check found, for the people and programs it is handed to.

`delivery` is the door: it hands a `report` on in the forms that are wanted.

- ``report``: the record, and its JSON; ``formats``: the other forms for programs; ``several``: the
  reports of several lists in one; ``json_schemas``: what programs can rely on, from the schema in
  ``assets``; ``frame_index``: how a report joins back to the frame that was checked.
- ``terminal``, ``page`` (with ``assets``) and ``workbook`` (with ``workbook_cells``): the forms for
  people.
- ``finding_text``, ``list_text`` and ``titles``: the words of all three, each said once.
- ``pictures`` draws the page's two pictures from what ``points`` gives.
- ``decisions`` and ``since``: what was accepted, and what changed since an earlier report.
- ``tidied``: a list as clean, typed data.
"""
