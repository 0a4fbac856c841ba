"""What a run found, to be read: a page for people and a table for spreadsheets."""

from converter.report.csv_report import report_csv
from converter.report.html_report import report_html

__all__ = ["report_csv", "report_html"]
