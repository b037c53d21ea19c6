"""What a drawn shade keeps in and when it is drawn, and rule files that stand in the record."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op


revision = '0005'
down_revision = '0004'
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table('rule_file',
    sa.Column('programme_key', sa.String(), nullable=False),
    sa.Column('text', sa.String(), nullable=False),
    sa.Column('id', sa.Integer(), nullable=False),
    sa.PrimaryKeyConstraint('id', name=op.f('pk_rule_file')),
    sa.UniqueConstraint('programme_key', name=op.f('uq_rule_file_programme_key'))
    )
    with op.batch_alter_table('opening', schema=None) as batch_op:
        batch_op.add_column(sa.Column('shade_sun_above_w_m2', sa.Double(), nullable=True))
        batch_op.add_column(sa.Column('shade_outdoor_above_c', sa.Double(), nullable=True))
        batch_op.add_column(sa.Column('shade_added_resistance_m2k_w', sa.Double(), nullable=True))
