/* Reads a feed with libical and fails on whatever it rejects: exit 1, one line for each reason. */

#include <libical/ical.h>
#include <stdio.h>
#include <stdlib.h>

static int errors_below(icalcomponent *component)
{
    int errors = 0;
    icalproperty *property;
    for (property = icalcomponent_get_first_property(component, ICAL_ANY_PROPERTY);
         property != NULL;
         property = icalcomponent_get_next_property(component, ICAL_ANY_PROPERTY)) {
        if (icalproperty_isa(property) == ICAL_XLICERROR_PROPERTY) {
            printf("error: %s\n", icalproperty_get_value_as_string(property));
            errors++;
        }
    }
    icalcomponent *inner;
    for (inner = icalcomponent_get_first_component(component, ICAL_ANY_COMPONENT); inner != NULL;
         inner = icalcomponent_get_next_component(component, ICAL_ANY_COMPONENT)) {
        errors += errors_below(inner);
    }
    return errors;
}

int main(int count, char **words)
{
    FILE *file = count == 2 ? fopen(words[1], "rb") : NULL;
    if (file == NULL) {
        fprintf(stderr, "usage: libical_check FEED\n");
        return 2;
    }
    fseek(file, 0, SEEK_END);
    long size = ftell(file);
    rewind(file);
    char *text = calloc((size_t)size + 1, 1);
    if (text == NULL || fread(text, 1, (size_t)size, file) != (size_t)size) {
        fprintf(stderr, "%s cannot be read\n", words[1]);
        return 2;
    }
    fclose(file);

    icalcomponent *calendar = icalparser_parse_string(text);
    if (calendar == NULL) {
        printf("error: no calendar\n");
        return 1;
    }
    int kept = icalrestriction_check(calendar);
    int errors = errors_below(calendar);
    printf("restrictions kept: %d, errors: %d, events: %d\n", kept, errors,
           icalcomponent_count_components(calendar, ICAL_VEVENT_COMPONENT));
    icalcomponent_free(calendar);
    free(text);
    return kept && errors == 0 ? 0 : 1;
}
