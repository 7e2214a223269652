"""The tables. Entries are only ever added; only the fold says what they mean.

Moments are ISO 8601 text in UTC, as everywhere in a logbook: no database or zone changes them.
"""

from django.db import models


class LogbookRow(models.Model):
    """One logbook; ``position`` is that of its last entry, and its row is what writers lock."""

    id = models.CharField(primary_key=True, max_length=200)
    name = models.TextField()
    created_at = models.CharField(max_length=40)
    position = models.BigIntegerField(default=0)

    class Meta:
        db_table = "putback_logbook"

    def __str__(self) -> str:
        return self.name


class EntryRow(models.Model):
    """One entry: the bytes as received, and columns read from them to find it by."""

    logbook = models.ForeignKey(LogbookRow, on_delete=models.PROTECT, db_index=False)
    position = models.BigIntegerField()
    entry = models.CharField(max_length=36)
    digest = models.CharField(max_length=64)
    kind = models.CharField(max_length=200)
    device = models.CharField(max_length=200)
    clock_ms = models.BigIntegerField()
    clock_counter = models.BigIntegerField()
    raw = models.BinaryField()
    received_at = models.CharField(max_length=40)
    received_from = models.TextField()

    class Meta:
        db_table = "putback_entry"
        constraints = [
            models.UniqueConstraint(fields=["logbook", "position"], name="one_entry_a_position"),
            models.UniqueConstraint(fields=["logbook", "entry", "digest"], name="no_entry_twice"),
        ]
        indexes = [
            models.Index(fields=["device", "clock_ms", "clock_counter"], name="clock_of_device"),
        ]

    def __str__(self) -> str:
        return f"{self.logbook_id} {self.position}"


class RoleRow(models.Model):
    """What a person may do with a logbook."""

    logbook = models.ForeignKey(LogbookRow, on_delete=models.PROTECT, db_index=False)
    person = models.CharField(max_length=200)
    role = models.CharField(max_length=20)

    class Meta:
        db_table = "putback_role"
        constraints = [
            models.UniqueConstraint(fields=["logbook", "person"], name="one_role_a_person"),
        ]

    def __str__(self) -> str:
        return f"{self.person}, {self.role} of {self.logbook_id}"


class TagBlockRow(models.Model):
    """Tags ``start`` to ``stop`` - 1, reserved for a device; a block starts where one stops."""

    start = models.BigIntegerField(unique=True)
    stop = models.BigIntegerField()
    device = models.CharField(max_length=200)
    reserved_at = models.CharField(max_length=40)

    class Meta:
        db_table = "putback_tag_block"

    def __str__(self) -> str:
        return f"{self.start} to {self.stop - 1} for {self.device}"


class SnapshotRow(models.Model):
    """A fold put away: a cache, never backed up; ``digest`` shows whether it is whole."""

    logbook = models.OneToOneField(LogbookRow, on_delete=models.CASCADE, primary_key=True)
    position = models.BigIntegerField()
    digest = models.CharField(max_length=64)
    blob = models.BinaryField()

    class Meta:
        db_table = "putback_snapshot"

    def __str__(self) -> str:
        return f"{self.logbook_id} up to {self.position}"


class PlanRow(models.Model):
    """The plan last followed to a goal: a cache, never backed up; ``digest`` as of a snapshot."""

    logbook = models.ForeignKey(LogbookRow, on_delete=models.CASCADE, db_index=False)
    goal = models.CharField(max_length=200)
    position = models.BigIntegerField()
    digest = models.CharField(max_length=64)
    blob = models.BinaryField()

    class Meta:
        db_table = "putback_plan"
        constraints = [
            models.UniqueConstraint(fields=["logbook", "goal"], name="one_plan_a_goal"),
        ]

    def __str__(self) -> str:
        return f"{self.logbook_id} to {self.goal}"


class SettingRow(models.Model):
    """How a vehicle is worked on here, as JSON: who works when, for one."""

    logbook = models.ForeignKey(LogbookRow, on_delete=models.PROTECT, db_index=False)
    name = models.CharField(max_length=40)
    value = models.TextField()

    class Meta:
        db_table = "putback_setting"
        constraints = [
            models.UniqueConstraint(fields=["logbook", "name"], name="one_setting_a_name"),
        ]

    def __str__(self) -> str:
        return f"{self.name} of {self.logbook_id}"


class QuestionRow(models.Model):
    """A question on the planner's desk: a cache, never backed up."""

    id = models.CharField(primary_key=True, max_length=32)
    logbook = models.ForeignKey(LogbookRow, on_delete=models.CASCADE, db_index=False)
    kind = models.CharField(max_length=40)
    args = models.TextField()
    basis = models.TextField()
    asked_at = models.CharField(max_length=40)
    stage = models.CharField(max_length=20)
    words = models.TextField()
    fraction = models.FloatField(null=True)
    answer = models.BinaryField(null=True)
    fault = models.TextField()
    place = models.TextField()
    remedy = models.TextField()
    planner = models.CharField(max_length=200)
    lost = models.IntegerField(default=0)
    touched_at = models.CharField(max_length=40)

    class Meta:
        db_table = "putback_question"
        indexes = [
            models.Index(fields=["stage", "asked_at"], name="questions_that_wait"),
            models.Index(fields=["logbook", "kind", "asked_at"], name="questions_of_a_kind"),
        ]

    def __str__(self) -> str:
        return f"{self.kind} of {self.logbook_id}"


class BackupRow(models.Model):
    """A backup that was made elsewhere."""

    at = models.CharField(max_length=40)
    place = models.TextField()
    entries = models.BigIntegerField()

    class Meta:
        db_table = "putback_backup"

    def __str__(self) -> str:
        return f"{self.at} at {self.place}"


class PersonRow(models.Model):
    """Somebody who may sign in; ``password`` is a slow digest with its salt."""

    id = models.CharField(primary_key=True, max_length=200)
    name = models.TextField()
    created_at = models.CharField(max_length=40)
    password = models.CharField(max_length=200)

    class Meta:
        db_table = "putback_person"

    def __str__(self) -> str:
        return self.name


class DeviceRow(models.Model):
    """A phone, browser or program of a person; signed in until ``ended_at``."""

    id = models.CharField(primary_key=True, max_length=200)
    person = models.ForeignKey(PersonRow, on_delete=models.CASCADE)
    label = models.TextField()
    kind = models.CharField(max_length=20)
    token_digest = models.CharField(max_length=64, unique=True)
    made_at = models.CharField(max_length=40)
    seen_at = models.CharField(max_length=40)
    ended_at = models.CharField(max_length=40, default="")

    class Meta:
        db_table = "putback_device"

    def __str__(self) -> str:
        return f"{self.label} of {self.person_id}"


class PassRow(models.Model):
    """A link that lets somebody in once: the first owner's, or an invitation to a vehicle."""

    id = models.CharField(primary_key=True, max_length=32)
    kind = models.CharField(max_length=20)
    token_digest = models.CharField(max_length=64, unique=True)
    person = models.CharField(max_length=200)
    made_at = models.CharField(max_length=40)
    expires_at = models.CharField(max_length=40)
    logbook = models.CharField(max_length=200, db_index=True)
    role = models.CharField(max_length=20)
    used_at = models.CharField(max_length=40)
    used_by = models.CharField(max_length=200)
    withdrawn_at = models.CharField(max_length=40)

    class Meta:
        db_table = "putback_pass"

    def __str__(self) -> str:
        return f"{self.kind} {self.id}"


class AttemptRow(models.Model):
    """Wrong passwords counted under a key, and until when to wait."""

    key = models.CharField(primary_key=True, max_length=400)
    count = models.BigIntegerField(default=0)
    last_at = models.CharField(max_length=40, default="")
    wait_until = models.CharField(max_length=40, default="")
    welcome = models.BooleanField(default=False)

    class Meta:
        db_table = "putback_attempt"

    def __str__(self) -> str:
        return f"{self.count} for {self.key}"


class PutAwayRow(models.Model):
    """A vehicle that a person does not want in their list."""

    person = models.ForeignKey(PersonRow, on_delete=models.CASCADE, db_index=False)
    logbook = models.CharField(max_length=200)

    class Meta:
        db_table = "putback_put_away"
        constraints = [
            models.UniqueConstraint(fields=["person", "logbook"], name="put_away_once"),
        ]

    def __str__(self) -> str:
        return f"{self.logbook} by {self.person_id}"
