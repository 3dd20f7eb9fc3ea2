/* A row of the manifest: one report as it stands in the output folder. */
#include "batch/batch_int.h"

const char *manifest_head(void)
{
    return "file,kind,patient_id,visit_date,pages,bytes,sha256,input_sha256,amendment,notes,"
           "held_back\r\n";
}

void manifest_row(struct buf *b, const struct report *r)
{
    char date[DATE_TEXT_MAX];
    csv_field(b, r->file, true);
    csv_field(b, r->kind, false);
    csv_field(b, r->patient_id, false);
    buf_addf(b, ",%s,%d,%lld,%s,%s,%d,%d,%d\r\n", date_format(date, r->visit_date), r->pages,
             (long long)r->bytes, r->sha256, r->input_sha256, r->amendment, r->notes, r->held);
}
