"""Names of files for students: none is another's, whatever the students are called."""

from workbook.weeks.student_files import student_files


def test_names_differ_on_a_disk_that_ignores_case():
    students = [("Studio", "Level 1"), ("Ada", "Level 1"), ("ada", "Level 1"), ("Ada", "Level 2")]
    names = student_files(students, ("studio.pdf",))
    assert names[1] == "Ada.pdf"
    assert len({name.casefold() for name in (*names, "studio.pdf")}) == 5
