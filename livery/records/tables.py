"""The store's tables. Changes to them are migrations, in ``migrations/versions``."""

from __future__ import annotations

from sqlalchemy import (
    Boolean,
    Column,
    Float,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    String,
    Table,
    Text,
)

metadata = MetaData()

evidence = Table(
    "evidence",
    metadata,
    Column("sha256", String(64), primary_key=True),
    Column("bytes", Integer, nullable=False),
    Column("kind", String(100), nullable=False),
    Column("name", Text, nullable=False),
    Column("look", String(256), nullable=False, default="", server_default=""),
)

captures = Table(
    "captures",
    metadata,
    Column("id", Integer, primary_key=True, autoincrement=True),
    Column("key", String(64), nullable=False, unique=True),
    Column("photo", String(64), ForeignKey("evidence.sha256"), nullable=False),
    Column("bat", Text, nullable=False),
    Column("bench", Text, nullable=False),
    Column("batch", Text, nullable=False),
    Column("date", String(40), nullable=False),
    Column("good", Boolean, nullable=False),
    Column("capture", Text, nullable=False),
)
Index("ix_captures_bat", captures.c.bat, captures.c.id)
Index("ix_captures_photo", captures.c.photo, captures.c.id)

samples = Table(
    "samples",
    metadata,
    Column("id", Integer, primary_key=True, autoincrement=True),
    Column("capture", Integer, ForeignKey("captures.id"), nullable=False, index=True),
    Column("item", Text, nullable=False),
    Column("ink", Text, nullable=False),
    Column("L", Float, nullable=False),
    Column("a", Float, nullable=False),
    Column("b", Float, nullable=False),
)
Index("ix_samples_ink_item", samples.c.ink, samples.c.item)

comparisons = Table(
    "comparisons",
    metadata,
    Column("id", Integer, primary_key=True, autoincrement=True),
    Column("capture", Integer, ForeignKey("captures.id"), nullable=False, index=True),
    Column("ink", Text, nullable=False),
    Column("a", Text, nullable=False),
    Column("b", Text, nullable=False),
    Column("de00", Float, nullable=False),
    Column("u95", Float, nullable=False),
    Column("p_inside", Float, nullable=False),
    Column("tolerance", Float, nullable=False),
    Column("verdict", String(10), nullable=False),
    Column("reason", Text, nullable=False),
    Column("judged", String(40), nullable=False, default="", server_default=""),
)

ledger = Table(
    "ledger",
    metadata,
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("entry", Text, nullable=False),
)

papers = Table(
    "papers",
    metadata,
    Column("proof", String(200), primary_key=True),
    Column("revision", Integer, primary_key=True, autoincrement=False),
    Column("content", String(64), primary_key=True),
    Column("pdf", String(64), ForeignKey("evidence.sha256"), nullable=False),
    Column("pages", Text, nullable=False),
    Column("facts", Text, nullable=False),
    Column("likeness", String(64), ForeignKey("evidence.sha256"), nullable=True),
)

accounts = Table(
    "accounts",
    metadata,
    Column("name", String(200), primary_key=True),
    Column("role", String(10), nullable=False),
    Column("password", Text, nullable=False),
    Column("key", Text, nullable=False),
)

sessions = Table(
    "sessions",
    metadata,
    Column("token", String(64), primary_key=True),
    Column("account", String(200), ForeignKey("accounts.name"), nullable=False),
    Column("expires", String(40), nullable=False),
)

links = Table(
    "links",
    metadata,
    Column("token", String(64), primary_key=True),
    Column("proof", Text, nullable=False),
    Column("content", String(64), nullable=False),
    Column("person", String(200), nullable=False),
    Column("expires", String(40), nullable=False),
    Column("key", Text, nullable=False),
)
